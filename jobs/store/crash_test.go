package store

import (
	"bufio"
	"errors"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// How these tests kill. SQLite is tested the same way ("How SQLite Is Tested",
// sqlite.org/testing.html, section 3.3 Crash Testing): a child process works on
// the file, is ended at a random moment, and the parent looks whether what the
// child had acknowledged is there, whole. SQLite also plays a power cut: a write
// that was not yet flushed may be on the disk, missing or torn; that is played
// here on images of the file before and after a commit. 3.1 and 3.2 there, failed
// allocation and failed input/output, are met by the full disk and the cut-off
// file.

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
