package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"runtime"
	"sync/atomic"
	"syscall"
	"time"

	"bookmatch/cmd/page"
	"bookmatch/cmd/words"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports/draw"

	"github.com/urfave/cli/v2"
)

// pageVerbs serve the shop to a tablet at the bench and to a desk.
func pageVerbs() []words.Command {
	kind := &cli.StringFlag{Name: "as", Usage: "`KIND` of device: bench (no money, no customers) or desk"}
	return []words.Command{
		{Path: "page", Help: "the bench page for a phone, a tablet or the desk", Example: "page --open", Act: servePage, Flags: []cli.Flag{
			&cli.IntFlag{Name: "port", Value: 4747, Usage: "`PORT` to listen on"},
			&cli.BoolFlag{Name: "home", Usage: "for devices in the network at home, not this machine alone", DisableDefaultText: true},
			&cli.StringFlag{Name: "address", Usage: "listen on this `ADDRESS` of the machine"},
			&cli.StringFlag{Name: "name", Usage: "a `HOST` name that leads to this machine"},
			&cli.StringFlag{Name: "cert", Usage: "certificate `FILE` for TLS", TakesFile: true},
			&cli.StringFlag{Name: "key", Usage: "key `FILE` for TLS", TakesFile: true},
			&cli.BoolFlag{Name: "open", Usage: "open the browser of this machine, paired", DisableDefaultText: true}}},
		{Path: "page pair", Help: "show a code that pairs a device", Example: "page pair --as desk", Act: pairCode, Flags: []cli.Flag{kind, &cli.StringFlag{Name: "at", Usage: "`ADDRESS` of the page, for the square code, if not that of the cards"}}},
		{Path: "page devices", Help: "the paired devices", Example: "page devices", Act: pageDevices},
		{Path: "page revoke", Help: "unpair a device", Example: `page revoke "bench tablet"`, Act: revokeDevice, Args: "[NAME]", Flags: []cli.Flag{&cli.BoolFlag{Name: "all", Usage: "shut all devices out", DisableDefaultText: true}}},
	}
}

// homeText is what the page can and cannot keep from others at home.
const homeText = `In your home network this page is not encrypted. Whoever is in the same network and
listens can read what passes, and can copy a device's key and use it until you revoke
it. Your files stay out of reach. A network of its own for visitors, WPA2 or better,
and "page revoke" protect you. With a certificate of your own, --cert and --key close
the gap. Do not forward the port to the internet.`

// keyFile is where the page keeps its devices: in the state folder, not in the shop.
func keyFile(e *words.Env) (string, error) {
	if dir := e.Getenv("XDG_STATE_HOME"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "bookmatch", "page.json"), nil
	}
	home := e.Getenv("HOME")
	if home == "" {
		return "", errors.New("no home folder is known: set XDG_STATE_HOME")
	}
	return filepath.Join(home, ".local", "state", "bookmatch", "page.json"), nil
}

func pageKeys(e *words.Env) (*page.Keys, error) {
	path, err := keyFile(e)
	if err != nil {
		return nil, err
	}
	return page.LoadKeys(path)
}

func servePage(e *words.Env, c *cli.Context) error {
	if c.Args().Present() {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, What: "NOT STARTED", Why: fmt.Sprintf("page has no %q", c.Args().First()), Type: []string{"page --open", "page pair", "page devices", "page revoke NAME"}}
	}
	shop, err := e.Path(c.String("file"))
	if err != nil {
		return err
	}
	keys, err := keyFile(e)
	if err != nil {
		return err
	}
	o := page.Options{Port: c.Int("port"), Home: c.Bool("home"), Address: c.String("address"), Name: c.String("name"), Cert: c.String("cert"), Key: c.String("key")}
	s := &page.Server{Shop: shop, KeyFile: keys, Now: func() time.Time {
		now, err := e.Clock()
		if err != nil {
			return e.Now()
		}
		return now
	}, Groups: groups, Commands: verbs(), Log: func(line string) { fmt.Fprintln(e.ErrOut, line) }}
	kind := page.Desk
	if o.Home || o.Address != "" {
		kind = page.Bench
	}
	ctx, stop := signal.NotifyContext(c.Context, os.Interrupt, syscall.SIGTERM)
	defer stop()
	var at atomic.Value // the address now
	err = s.Serve(ctx, o, func(address string) {
		if at.Swap(address) != nil {
			fmt.Fprintln(e.Out, "The address of this machine changed. The page is at "+address+" now. Cards that carry the old one: shop set page-address "+address)
			return
		}
		fmt.Fprintln(e.Out, "The page is at "+address+"  (end it with Ctrl-C)")
		if o.Home || o.Address != "" {
			fmt.Fprintln(e.Out, homeText)
		}
		code := showCode(e, kind, address)
		if c.Bool("open") && code != "" {
			open(address + "/pair/" + code)
		}
		go newCodes(ctx, e, kind, &at)
	})
	if r, ok := jobs.RefusalOf("NOT STARTED", err); ok {
		return r
	}
	return err
}

// newCodes shows another code whenever somebody types Enter.
func newCodes(ctx context.Context, e *words.Env, kind page.Kind, at *atomic.Value) {
	for lines := bufio.NewScanner(e.In); lines.Scan() && ctx.Err() == nil; {
		showCode(e, kind, at.Load().(string))
	}
}

// showCode makes a pairing code and shows it as text and as a square code.
func showCode(e *words.Env, kind page.Kind, address string) string {
	keys, err := pageKeys(e)
	if err != nil {
		fmt.Fprintln(e.ErrOut, "bookmatch: NO CODE: "+err.Error())
		return ""
	}
	now, err := e.Clock()
	if err != nil {
		now = e.Now()
	}
	code, err := keys.NewCode(kind, now)
	if err != nil {
		fmt.Fprintln(e.ErrOut, "bookmatch: NO CODE: "+err.Error())
		return ""
	}
	fmt.Fprintf(e.Out, "Code to pair a device as %s, good for 5 minutes: %s-%s\n", kind, code[:4], code[4:])
	if e.Columns > 0 && address != "" {
		if c, err := draw.NewCode(address+"/PAIR/"+code, 1); err == nil {
			fmt.Fprint(e.Out, c.Text())
		}
	}
	return code
}

func pairCode(e *words.Env, c *cli.Context) error {
	kind := page.Kind(c.String("as"))
	switch kind {
	case "":
		kind = page.Bench
	case page.Bench, page.Desk:
	default:
		return &jobs.FieldError{Field: "as", Value: string(kind), Want: "bench or desk"}
	}
	address := c.String("at")
	if address == "" {
		address = cardAddress(e, c.String("file"))
	}
	showCode(e, kind, address)
	return nil
}

// cardAddress is the page's address as the shop's cards carry it, empty without one.
func cardAddress(e *words.Env, file string) string {
	path, err := e.Path(file)
	if err != nil {
		return ""
	}
	r, err := workshop.At(path, nil).Do(workshop.ShopShow, workshop.ShopShow.NewAsk())
	if err != nil || workshop.MetaOf(r).Page == "" {
		return ""
	}
	return "http://" + workshop.MetaOf(r).Page
}

func pageDevices(e *words.Env, c *cli.Context) error {
	keys, err := pageKeys(e)
	if err != nil {
		return err
	}
	if c.Bool("json") {
		out := []map[string]any{}
		for _, d := range keys.Devices {
			out = append(out, map[string]any{"name": d.Name, "kind": d.Kind, "created": d.Created, "seen": d.Seen})
		}
		return e.PrintJSON(map[string]any{"devices": out})
	}
	if len(keys.Devices) == 0 {
		fmt.Fprintln(e.Out, "No device is paired. Next: page --open")
	}
	for _, d := range keys.Devices {
		fmt.Fprintf(e.Out, "%-24s %-6s paired %s\n", d.Name, d.Kind, d.Created.Format("2006-01-02"))
	}
	return nil
}

func revokeDevice(e *words.Env, c *cli.Context) error {
	name := c.Args().First()
	if name == "" && !c.Bool("all") {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, What: "NOT CHANGED", Why: "the name of the device is missing", Type: []string{"page devices", "page revoke --all"}}
	}
	keys, err := pageKeys(e)
	if err != nil {
		return err
	}
	if c.Bool("all") {
		name = ""
	}
	n, err := keys.Revoke(name)
	if err != nil {
		return err
	}
	if n == 0 && name != "" {
		return &jobs.Refusal{Code: "missing", Class: jobs.Missing, What: "NOT CHANGED", Why: "there is no device " + name, Type: []string{"page devices"}}
	}
	fmt.Fprintf(e.Out, "REVOKED %s. They are shut out from the next tap on.\n", jobs.CountText(n, "device"))
	return nil
}

// open shows an address in the browser of this machine, if it has one.
func open(address string) {
	name := "xdg-open"
	if runtime.GOOS == "darwin" {
		name = "open"
	}
	if path, err := exec.LookPath(name); err == nil {
		exec.Command(path, address).Start()
	}
}
