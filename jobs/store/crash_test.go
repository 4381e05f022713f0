package store

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"
)

// How these tests kill. SQLite is tested the same way ("How SQLite Is Tested",
// sqlite.org/testing.html, section 3.3 Crash Testing): a child process works on
// the file, is ended at a random moment, and the parent looks whether what the
// child had acknowledged is there, whole. SQLite also plays a power cut: a write
// that was not yet flushed may be on the disk, missing or torn; that is played
// here on images of the file before and after a commit. 3.1 and 3.2 there, failed
// allocation and failed input/output, are met by the full disk and the cut-off
// file.

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

func TestKilledAtRandomMoments(t *testing.T) {
	path := crashFile(t)
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 1))
	var acknowledged []uint64
	rounds := 20 * scale()
	for range rounds {
		cmd, out := startChild(t, "append", path, 0)
		lines := bufio.NewScanner(out)
		// Killed some time after its first change, in the midst of another.
		after := time.Duration(rng.IntN(300_000)) * time.Microsecond
		killed := false
		for lines.Scan() {
			id, err := strconv.ParseUint(lines.Text(), 10, 64)
			if err != nil {
				t.Fatalf("the child says %q", lines.Text())
			}
			acknowledged = append(acknowledged, id)
			if !killed {
				killed = true
				time.AfterFunc(after, func() { cmd.Process.Kill() })
			}
		}
		if err := cmd.Wait(); err == nil || !strings.Contains(err.Error(), "killed") {
			t.Fatalf("the child ended by itself: %v", err)
		}
	}
	n := pairs(t, path, acknowledged)
	mustBeSound(t, path)
	t.Logf("%d kills, %d changes acknowledged, %d in the file", rounds, len(acknowledged), n)
	if n < len(acknowledged) || n > len(acknowledged)+rounds {
		t.Errorf("%d changes in the file for %d acknowledged", n, len(acknowledged))
	}
}

func TestProcessesTakeTurns(t *testing.T) {
	for _, n := range []int{2, 10} {
		path := newFile(t)
		each := 60 / n * scale()
		type running struct {
			cmd *exec.Cmd
			out io.Reader
		}
		var all []running
		for range n {
			cmd, out := startChild(t, "add", path, each)
			all = append(all, running{cmd, out})
		}
		busy := 0
		for _, r := range all {
			said, _ := io.ReadAll(r.out)
			if err := r.cmd.Wait(); err != nil {
				t.Fatalf("%v: %s", err, said)
			}
			busy += strings.Count(string(said), "busy")
		}
		view(t, path, func(tx *Tx) error {
			w, _, err := Get(tx, Woods, "tally")
			if int(w.HardnessN) != n*each {
				t.Errorf("%d processes: the tally is %g of %d", n, w.HardnessN, n*each)
			}
			return err
		})
		mustBeSound(t, path)
		t.Logf("%d processes, %d changes, %d times told that the file is busy", n, n*each, busy)
	}
}

func TestFullDisk(t *testing.T) {
	path := crashFile(t)
	grow(t, path, small, 1)
	var acknowledged []uint64
	said := ""
	for _, more := range []int64{0, 1, 4096, 20000} { // room beyond what it has
		info, err := os.Stat(path)
		if err != nil {
			t.Fatal(err)
		}
		cmd, out := startChild(t, "full", path, int(info.Size()+more))
		lines := bufio.NewScanner(out)
		for lines.Scan() {
			id, err := strconv.ParseUint(lines.Text(), 10, 64)
			if err != nil {
				said = lines.Text()
				break
			}
			acknowledged = append(acknowledged, id)
		}
		if err := cmd.Wait(); err == nil {
			t.Fatal("the disk never filled up")
		}
		if !strings.Contains(said, "file too large") {
			t.Errorf("the child said %q", said)
		}
		mustBeSound(t, path)
	}
	view(t, path, func(tx *Tx) error {
		for _, id := range acknowledged {
			if _, ok, err := GetID(tx, Entries, id); err != nil || !ok {
				t.Errorf("change %d was acknowledged and is lost (%v)", id, err)
			}
		}
		return nil
	})
	if _, err := appendPair(path); err != nil { // with room again, work goes on
		t.Error(err)
	}
	mustBeSound(t, path)
}

// No backup is left half on a full disk, and the command that wanted one goes on.
func TestBackupOnAFullFolder(t *testing.T) {
	path := newFile(t)
	if _, err := Backup(path, "/dev/full/folder", "2026-01-06", 0); err == nil {
		t.Error("no error")
	}
}

// Images of the file before and after a commit: the pages a commit writes may
// be on the disk in any part when the power goes, until the flush; then the meta
// page is written, whole or torn. Whatever lies there must open as it was
// before, or as it is after.
func TestPowerCutInACommit(t *testing.T) {
	path := crashFile(t)
	grow(t, path, small, 1)
	for range 30 {
		if _, err := appendPair(path); err != nil {
			t.Fatal(err)
		}
	}
	const pageSize = 4096
	read := func() []byte {
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	seed := uint64(20260106)
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 9))
	torn := filepath.Join(t.TempDir(), "shop.db")
	for round := range 6 * scale() {
		before := read()
		was := digest(t, path)
		if _, err := appendPair(path); err != nil {
			t.Fatal(err)
		}
		after := read()
		is := digest(t, path)
		if len(after) < len(before) {
			t.Fatal("the file shrank")
		}
		before = append(before, make([]byte, len(after)-len(before))...)
		var changed []int
		meta := 0
		for p := 0; p < len(after)/pageSize; p++ {
			if !bytes.Equal(before[p*pageSize:(p+1)*pageSize], after[p*pageSize:(p+1)*pageSize]) {
				if p < 2 {
					meta = p
					continue
				}
				changed = append(changed, p)
			}
		}
		if len(changed) < 3 {
			t.Fatalf("a commit changed %d pages", len(changed))
		}
		for range 8 {
			image := bytes.Clone(before)
			for _, p := range changed { // each page: missing, there, or torn inside
				n := []int{0, pageSize, rng.IntN(pageSize/512) * 512}[rng.IntN(3)]
				copy(image[p*pageSize:p*pageSize+n], after[p*pageSize:])
			}
			if err := os.WriteFile(torn, image, 0o600); err != nil {
				t.Fatal(err)
			}
			mustBeSound(t, torn)
			if got := digest(t, torn); got != was {
				t.Fatalf("round %d: pages without their meta page changed the records", round)
			}
		}
		for n := 0; n <= 96; n += 8 { // all pages flushed, the meta page torn after n bytes
			image := bytes.Clone(after)
			at := meta * pageSize
			copy(image[at:at+pageSize], before[at:at+pageSize])
			copy(image[at:at+n], after[at:at+n])
			if err := os.WriteFile(torn, image, 0o600); err != nil {
				t.Fatal(err)
			}
			if got := digest(t, torn); got != was && got != is {
				t.Fatalf("round %d: a meta page torn after %d bytes gave other records", round, n)
			}
		}
		if binary.NativeEndian.Uint32(after[meta*pageSize+pageHeader:]) != boltMagic {
			t.Fatal("the page that changed is not a meta page")
		}
	}
}

// What file modes forbid is refused with a plain word, and the file is left as
// it was. Root may write anything, so a child without rights tries it.
func TestWithoutRights(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("needs root to become someone else; TestReadOnlyFileAndFolder tries it as oneself")
	}
	dir, err := os.MkdirTemp("", "bookmatch-rights")
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(dir)
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	program, err := os.ReadFile(exe)
	if err != nil {
		t.Fatal(err)
	}
	other := filepath.Join(dir, "child")
	if err := os.WriteFile(other, program, 0o755); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "shop.db")
	source := crashFile(t)
	image, err := os.ReadFile(source)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name       string
		file, fold os.FileMode
		want       string
	}{
		{"read-only file", 0o444, 0o755, "cannot be written"},
		{"unreadable file", 0o000, 0o755, "permission denied"},
		{"unreachable folder", 0o666, 0o700, "permission denied"},
		{"read-only folder", 0o666, 0o555, ""}, // an existing file can be written there
	} {
		if err := errors.Join(os.Chmod(dir, 0o755), os.WriteFile(path, image, 0o600), os.Chmod(path, c.file)); err != nil {
			t.Fatal(err)
		}
		cmd := exec.Command(other)
		cmd.Env = append(os.Environ(), childMode+"=rights", "CHILD_FILE="+path)
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
		if c.fold == 0o700 { // the program lies elsewhere then
			cmd.Env[len(cmd.Env)-1] = "CHILD_FILE=" + filepath.Join("/root", "shop.db")
		} else if err := os.Chmod(dir, c.fold); err != nil {
			t.Fatal(err)
		}
		out, err := cmd.CombinedOutput()
		switch {
		case c.want == "" && err != nil:
			t.Errorf("%s: %v: %s", c.name, err, out)
		case c.want != "" && (err == nil || !strings.Contains(string(out), c.want) || strings.Contains(string(out), "goroutine")):
			t.Errorf("%s: %v: %s", c.name, err, out)
		}
	}
}
