package reports

import (
	"fmt"
	"slices"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// Routes lists all routes.
func Routes(r *workshop.RouteListResult) Report {
	out := Report{Name: "routes", Title: "Routes", Made: r.Made, Headline: []string{jobs.CountText(len(r.Routes), "route") + "."}, Next: []string{"route show headstock"}}
	out.Add(Build(Table{Name: "routes"}, r.Routes, []Col[jobs.Route]{
		{Column{Key: "route", Header: "route"}, func(x jobs.Route) Cell { return Text(x.Name) }},
		{Column{Key: "steps", Header: "steps", Kind: KindCount}, func(x jobs.Route) Cell { return Count(len(x.Steps)) }},
		{Column{Key: "title", Header: "title"}, func(x jobs.Route) Cell { return Text(x.Title) }},
	}))
	return out
}

// groupOrder is the order of the headings.
var groupOrder = []string{"joint", "rod", "board", "head", "inlay", "carving", "frets", "finish", "hardware", "adjust"}

// RouteSteps lists the steps of one route under their headings, or the longest
// path only.
func RouteSteps(r *workshop.RouteResult) Report {
	out := Report{Name: "route-" + r.Name, Title: "Route " + r.Name, Subject: r.Title, Made: r.Made,
		Headline: []string{fmt.Sprintf("Route %s: %s, %.1f h standard, at least %s by its cures.", r.Name, jobs.CountText(r.Count, "step"), r.Hours, jobs.CountText(r.Evenings, "evening"))},
		Notes:    []string{"Marks: N noisy, D dusty, M machine, 1 no stop, R may be left midway, F wet film, K clamp sets, Z errand, P plan, H parts.", "Cures are defaults. The product label decides.", "Change it: route set " + r.Name + " inlay-cut --after choose-veneer"}}
	lines := slices.Clone(r.Lines)
	if r.OnlyPath {
		lines = slices.DeleteFunc(lines, func(l workshop.RouteLine) bool {
			return !slices.ContainsFunc(r.Path, func(p string) bool { name, _, _ := strings.Cut(p, "#"); return name == l.Step })
		})
	}
	text := tonightText{}
	add := func(wide, slim string) {
		text.wide, text.slim = append(text.wide, strings.TrimRight(wide, " ")), append(text.slim, strings.TrimRight(slim, " "))
	}
	row := func(step, after, min, cure, place, marks string) {
		add(fmt.Sprintf("%-16s %-28s %9s %6s  %-5s %s", cut(step, 16), cut(after, 28), min, cure, place, marks), fmt.Sprintf("%-16s %-16s %9s %6s %s", cut(step, 16), cut(after, 16), min, cure, marks))
	}
	row("step", "after", "min", "cure h", "place", "marks")
	if !r.OnlyPath {
		slices.SortStableFunc(lines, func(a, b workshop.RouteLine) int { return groupPlace(a.Group) - groupPlace(b.Group) })
	}
	group := "-"
	for _, l := range lines {
		if g := headingOf(l); g != group && !r.OnlyPath {
			group = g
			add("── "+g, "── "+g)
		}
		row(l.Step, strings.Join(orDash(l.Nearest), ", "), routeMinutes(l), routeCure(l), l.Place, l.Marks)
	}
	table := routeTable(r)
	out.Sections = []Section{{At: First | Why, Close: true, Drawing: text}, {At: Full, Table: &table}}
	return out
}

func groupPlace(group string) int {
	if i := slices.Index(groupOrder, group); i >= 0 {
		return i
	}
	return len(groupOrder)
}

// headingOf is the group of a step with the quantity that its steps hang on.
func headingOf(l workshop.RouteLine) string {
	group := l.Group
	if group == "" {
		group = "other"
	}
	if l.Group == "inlay" && l.When != "" {
		return group + " (when " + l.When + " > 0)"
	}
	return group
}

func orDash(list []string) []string {
	if len(list) == 0 {
		return []string{"-"}
	}
	return list
}

func cut(s string, n int) string {
	if r := []rune(s); len(r) > n {
		return string(r[:n-1]) + "…"
	}
	return s
}

// routeMinutes gives the minutes at the usual quantity, else setup and minutes a
// unit.
func routeMinutes(l workshop.RouteLine) string {
	if l.StandardMin > 0 {
		return fmt.Sprintf("%.0f", l.StandardMin)
	}
	return fmt.Sprintf("%.0f+%s/%s", l.SetupMin, jobs.NumberText(l.RunMin), map[bool]string{true: "pc", false: l.Unit}[l.Per == "inlay"])
}

func routeCure(l workshop.RouteLine) string {
	switch {
	case l.CuredH == 0:
		return "-"
	case l.HandledH == 0:
		return jobs.NumberText(l.CuredH)
	}
	return jobs.NumberText(l.HandledH) + "/" + jobs.NumberText(l.CuredH)
}

func routeTable(r *workshop.RouteResult) Table {
	type l = workshop.RouteLine
	return Build(Table{Name: "steps"}, r.Lines, []Col[l]{
		{Column{Key: "step", Header: "step"}, func(x l) Cell { return Text(x.Step) }},
		{Column{Key: "operation", Header: "operation"}, func(x l) Cell { return Text(x.Operation) }},
		{Column{Key: "group", Header: "group"}, func(x l) Cell { return Text(x.Group) }},
		{Column{Key: "after", Header: "after"}, func(x l) Cell { return Text(strings.Join(x.After, ", ")) }},
		{Column{Key: "when", Header: "when"}, func(x l) Cell { return Text(x.When + x.Repeat) }},
		{Column{Key: "quantity", Header: "usual", Kind: KindNumber}, func(x l) Cell { return Number(x.Quantity) }},
		{Column{Key: "per", Header: "per"}, func(x l) Cell { return Text(x.Per) }},
		{Column{Key: "standard_min", Header: "standard", Unit: "min", Kind: KindMinutes}, func(x l) Cell { return MinutesOf(x.StandardMin) }},
		{Column{Key: "handled_h", Header: "handled", Unit: "h", Kind: KindHours}, func(x l) Cell { return HoursOf(x.HandledH) }},
		{Column{Key: "cured_h", Header: "cured", Unit: "h", Kind: KindHours}, func(x l) Cell { return HoursOf(x.CuredH) }},
		{Column{Key: "place", Header: "place"}, func(x l) Cell { return Text(x.Place) }},
		{Column{Key: "marks", Header: "marks"}, func(x l) Cell { return Text(x.Marks) }},
		{Column{Key: "title", Header: "what"}, func(x l) Cell { return Text(x.Title) }},
	})
}

// RouteChanged is the echo of a route that was changed or made.
func RouteChanged(r *workshop.RouteResult) Report {
	word := "CHANGED route " + r.Name
	line := fmt.Sprintf("%s: %s.", word, jobs.CountText(len(r.Lines), "step"))
	for _, l := range r.Lines {
		if l.Step == r.Changed {
			line = fmt.Sprintf("%s: %s needs %s.", word, l.Step, strings.Join(orNothing(l.After), ", "))
		}
	}
	return Report{Name: "route", Headline: []string{line, "Started necks keep their own steps."}}
}

func orNothing(list []string) []string {
	if len(list) == 0 {
		return []string{"nothing"}
	}
	return list
}
