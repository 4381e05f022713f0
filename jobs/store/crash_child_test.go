package store

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"
)

const childMode = "BOOKMATCH_STORE_CHILD"

func TestMain(m *testing.M) {
	if mode := os.Getenv(childMode); mode != "" {
		if err := child(mode, os.Getenv("CHILD_FILE")); err != nil {
			fmt.Println("error", strings.ReplaceAll(err.Error(), "\n", "; "))
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

func child(mode, path string) error {
	arg, _ := strconv.Atoi(os.Getenv("CHILD_ARG"))
	switch mode {
	case "measure": // runs the command in its arguments and tells its largest memory in kB
		cmd := exec.Command(os.Args[1], os.Args[2:]...)
		if said, err := cmd.CombinedOutput(); err != nil {
			return fmt.Errorf("%w: %s", err, said)
		}
		fmt.Println(cmd.ProcessState.SysUsage().(*syscall.Rusage).Maxrss)
		return nil
	case "append": // changes of two records each, told once they are kept
		for {
			id, err := appendPair(path)
			if err != nil {
				return err
			}
			fmt.Println(id)
		}
	case "add": // arg times one more, each a command of its own
		for done := 0; done < arg; {
			err := tryUpdate(path, start, "add", func(tx *Tx) error {
				w, _, err := Get(tx, Woods, "tally")
				if err != nil {
					return err
				}
				w = wood("tally", 1)
				if h, ok, _ := Get(tx, Woods, "tally"); ok {
					w.HardnessN = h.HardnessN
				}
				w.HardnessN++
				return Put(tx, Woods, w)
			})
			if errors.Is(err, ErrBusy) {
				fmt.Println("busy")
				continue
			}
			if err != nil {
				return err
			}
			done++
		}
		fmt.Println("done")
		return nil
	case "command": // one random command, told once it is kept
		if err := randomCommand(path, arg); err != nil {
			return err
		}
		fmt.Println("kept")
		return nil
	case "full": // the file may not grow beyond arg bytes
		signal.Ignore(syscall.SIGXFSZ)
		limit := syscall.Rlimit{Cur: uint64(arg), Max: uint64(arg)}
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
			return err
		}
		for {
			id, err := appendPair(path)
			if err != nil {
				return err
			}
			fmt.Println(id)
		}
	case "rights": // as a user who may not write
		_, err := appendPair(path)
		return err
	}
	return errors.New("unknown mode " + mode)
}

// appendPair keeps an entry and a use of supplies that name each other, with a
// long note now and then so that pages split.
func appendPair(path string) (id uint64, err error) {
	err = tryUpdate(path, start, "append", func(tx *Tx) error {
		if id, err = NextID(tx, Entries); err != nil {
			return err
		}
		note := strings.Repeat("x", int(id*37%200)*int(id%9))
		when := start.Add(time.Duration(id) * time.Minute)
		e := jobs.Entry{ID: id, Operation: "drill", Class: jobs.First, Shares: []jobs.Share{{Neck: "N1", Count: 1}}, From: when, To: &when, Written: when, Note: note}
		if err := Put(tx, Entries, e); err != nil {
			return err
		}
		use, err := NextID(tx, Uses)
		if err != nil {
			return err
		}
		return Put(tx, Uses, jobs.SupplyUse{ID: use, Supply: "glue", Kind: jobs.UseIssue, Quantity: money.QtyOf(1), On: when, Written: when, Entry: id})
	})
	return id, err
}

func startChild(t *testing.T, mode, path string, arg int) (*exec.Cmd, io.Reader) {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(exe)
	cmd.Env = append(os.Environ(), childMode+"="+mode, "CHILD_FILE="+path, "CHILD_ARG="+strconv.Itoa(arg))
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	return cmd, out
}

// crashFile is a file with what appendPair refers to.
func crashFile(t *testing.T) string {
	t.Helper()
	path := newFile(t)
	update(t, path, start, "neck add", func(tx *Tx) error {
		if err := Put(tx, Necks, jobs.Neck{Code: "N1", Status: jobs.Open, Added: start}); err != nil {
			return err
		}
		return Put(tx, Supplies, jobs.Supply{Name: "glue", Unit: jobs.UnitML})
	})
	return path
}

// pairs checks that every acknowledged change is in the file and none is there
// by half, and gives how many there are.
func pairs(t *testing.T, path string, acknowledged []uint64) int {
	t.Helper()
	entries, uses := map[uint64]bool{}, map[uint64]bool{}
	view(t, path, func(tx *Tx) error {
		for e, err := range Each(tx, Entries) {
			if err != nil {
				return err
			}
			entries[e.ID] = true
		}
		for u, err := range Each(tx, Uses) {
			if err != nil {
				return err
			}
			uses[u.Entry] = true
		}
		return nil
	})
	for _, id := range acknowledged {
		if !entries[id] {
			t.Errorf("change %d was acknowledged and is lost", id)
		}
	}
	for id := range entries {
		if !uses[id] {
			t.Errorf("change %d is there by half", id)
		}
	}
	if len(uses) != len(entries) {
		t.Errorf("%d entries and %d uses", len(entries), len(uses))
	}
	return len(entries)
}
