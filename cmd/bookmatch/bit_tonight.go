package main

import (
	"strings"

	"bookmatch/costing/bitlife"
	"bookmatch/jobs"

	"github.com/urfave/cli/v2"
)

func (e *env) sayPlans(c *cli.Context, plans []bitlife.Plan, shop jobs.Shop) error {
	if wantJSON(c) {
		if plans == nil {
			plans = []bitlife.Plan{}
		}
		return e.PrintJSON(map[string]any{"plan": plans, "currency": shop.Currency})
	}
	if len(plans) == 0 {
		e.Say("no open neck has its drilling next")
	}
	for _, p := range plans {
		if p.Bit == "" {
			e.Say("%s: %s", p.Neck, p.Why)
			continue
		}
		e.Say("%s: take %s (%s)", p.Neck, p.Bit, p.Why)
		e.Say("  %s; a torn hole costs %s there", strings.TrimPrefix(p.Verdict.Line(), p.Bit+" "), shop.Currency.Print(p.Verdict.Damage))
	}
	return nil
}
