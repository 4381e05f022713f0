package store

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"
)

// token is what a command of the random test is sent with.
func token(n int) string { return fmt.Sprintf("token-%d", n) }

// randomCommand does what the number says, as a verb with a token does it: a
// command that is sent again is done once. What is taken back or brought in again
// is a command too.
func randomCommand(path string, n int) error {
	rng := rand.New(rand.NewPCG(uint64(n), 17))
	now := start.Add(time.Duration(n) * time.Minute)
	err := tryUpdate(path, now, "random", func(tx *Tx) error {
		if body, _, _, err := tx.Answer(token(n), "random"); err != nil || body != nil {
			return err
		}
		tx.Verb, tx.Ask = "random", fmt.Appendf(nil, `{"n":%d}`, n)
		if err := randomChange(tx, rng, n); err != nil && !errors.Is(err, jobs.ErrConflict) {
			return err
		}
		if err := Put(tx, Woods, jobs.Wood{Name: fmt.Sprintf("wood-%d", n), Abrasion: 1}); err != nil {
			return err
		}
		return tx.PutAnswer(token(n), "random", fmt.Appendf(nil, "%d", n))
	})
	if err == nil && rng.IntN(10) == 0 {
		_, err = BackupEvening(path, at(now.AddDate(0, 0, n)))
	}
	return err
}

// randomChange writes, amends, drops or reads something.
func randomChange(tx *Tx, rng *rand.Rand, n int) error {
	last, err := tx.numbers()
	if err != nil {
		return err
	}
	some := uint64(rng.IntN(int(last[Entries.bucket])+1)) + 1
	switch rng.IntN(5) {
	case 0: // amend
		e, ok, err := GetID(tx, Entries, some)
		if err != nil || !ok {
			return err
		}
		e.Note = strings.Repeat("y", rng.IntN(900))
		return Put(tx, Entries, e)
	case 1: // drop, with what hangs on it
		uses, err := ByID(tx, Uses, UsesByEntry, some)
		if err != nil {
			return err
		}
		for _, u := range uses {
			if err := Delete(tx, Uses, u); err != nil {
				return err
			}
		}
		return Delete(tx, Entries, jobs.Entry{ID: some})
	}
	id, err := NextID(tx, Entries)
	if err != nil {
		return err
	}
	when := tx.Now
	e := jobs.Entry{ID: id, Operation: "drill", Class: jobs.First, Shares: []jobs.Share{{Neck: "N1", Count: 1}}, From: when, To: &when, Written: when}
	use, err := NextID(tx, Uses)
	if err != nil {
		return err
	}
	return errors.Join(Put(tx, Entries, e), Put(tx, Uses, jobs.SupplyUse{ID: use, Supply: "glue", Kind: jobs.UseIssue, Quantity: money.QtyOf(1), On: when, Written: when, Entry: id}))
}

// Random commands, a third of them killed at a random moment. None that
// was acknowledged is lost, none is there twice, and a killed one that is sent
// again with its token is done once. 1 200 commands with BOOKMATCH_LONG=1.
func TestRandomCommandsKilled(t *testing.T) {
	path := crashFile(t)
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 1))
	n := 60
	if scale() > 1 {
		n = 300 * scale()
	}
	kept, killed := map[int]bool{}, []int{}
	for i := 1; i <= n; i++ {
		cmd, out := startChild(t, "command", path, i)
		if rng.IntN(9) < 4 { // some have ended by then: a third is killed
			time.AfterFunc(time.Duration(rng.IntN(15_000))*time.Microsecond, func() { cmd.Process.Kill() })
		}
		said, _ := io.ReadAll(out)
		err := cmd.Wait()
		switch {
		case strings.HasPrefix(string(said), "kept"):
			kept[i] = true
		case err != nil && strings.Contains(err.Error(), "killed"):
			killed = append(killed, i)
		default:
			t.Fatalf("command %d: %v: %s", i, err, said)
		}
		if i%(n/6) == 0 {
			mustBeSound(t, path)
		}
	}
	changes := func() map[int]int {
		count := map[int]int{}
		view(t, path, func(tx *Tx) error {
			for c, err := range Changes(tx, false) {
				if err != nil {
					return err
				}
				var ask struct{ N int }
				if c.Verb == "random" && json.Unmarshal(c.Ask, &ask) == nil {
					count[ask.N]++
				}
			}
			return nil
		})
		return count
	}
	done, half := changes(), 0
	for i := range n {
		switch c := done[i+1]; {
		case c > 1:
			t.Errorf("command %d was done %d times", i+1, c)
		case c == 0 && kept[i+1]:
			t.Errorf("command %d was acknowledged and is lost", i+1)
		case c == 1 && !kept[i+1]:
			half++ // kept, and killed before it could say so
		}
	}
	for _, i := range killed { // sent again
		if err := randomCommand(path, i); err != nil {
			t.Fatal(err)
		}
	}
	for i, c := range changes() {
		if c != 1 {
			t.Errorf("command %d was done %d times", i, c)
		}
	}
	if got := len(changes()); got != n {
		t.Errorf("%d commands of %d", got, n)
	}
	mustBeSound(t, path)
	if left := Leftovers(path); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	t.Logf("%d commands, %d killed, %d of them after they were kept", n, len(killed), half)
}
