package store

import (
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"bookmatch/jobs"
)

// Answers are what verbs answered to an ask with a token, so that the same ask
// sent twice is done once. They are kept next to the change that they belong to,
// outside the journal and the export, and for answersFor only.
const answersFor = 30 * 24 * time.Hour

// Buckets of the answers: token -> answer, and instant 0 token -> token.
const (
	bucketAnswers = "answers"
	answersByTime = "ix_answers_time"
)

// answer is one kept answer.
type answer struct {
	Verb   string          `json:"verb"`
	Change uint64          `json:"change"` // the number of the change it belongs to
	At     time.Time       `json:"at"`
	Body   json.RawMessage `json:"body"`
}

func answerKey(at time.Time, token string) []byte {
	return append(append(timeKey(at), 0), token...)
}

// errNoToken is a fault of the caller, not of a person.
var errNoToken = errors.New("an answer needs a token")

// Answer gives what a verb answered to a token, and the change that it made.
// body is nil where no answer is kept. undone says that the change was taken
// back by oops and not brought in again. A token that another verb used is a
// *TokenError.
func (tx *Tx) Answer(token, verb string) (body json.RawMessage, change uint64, undone bool, err error) {
	a, ok, err := tx.answer(token)
	if err != nil || !ok {
		return nil, 0, false, err
	}
	if a.Verb != verb {
		return nil, 0, false, &TokenError{Token: token, Verb: verb, Used: a.Verb}
	}
	undone, err = tx.undone(a.Change)
	return a.Body, a.Change, undone, err
}

// PutAnswer keeps the answer of the change that this transaction makes. A
// transaction that changes nothing keeps no answer. Answers that are too old go.
func (tx *Tx) PutAnswer(token, verb string, body json.RawMessage) error {
	if token == "" {
		return errNoToken
	}
	if err := tx.sweepAnswers(); err != nil {
		return err
	}
	if err := tx.dropAnswer(token); err != nil {
		return err
	}
	raw, err := json.Marshal(answer{verb, tx.NextChange(), tx.Now, body})
	if err != nil {
		return err
	}
	if err := tx.bucket(answersByTime).Put(answerKey(tx.Now, token), []byte(token)); err != nil {
		return err
	}
	return tx.bucket(bucketAnswers).Put([]byte(token), seal([]byte(token), raw))
}

func (tx *Tx) answer(token string) (a answer, ok bool, err error) {
	ok, err = tx.readSealed(bucketAnswers, "answer", []byte(token), &a)
	return a, ok, err
}

// dropAnswer removes an answer with its place in the index.
func (tx *Tx) dropAnswer(token string) error {
	a, ok, err := tx.answer(token)
	if err != nil || !ok {
		return err
	}
	if err := tx.bucket(answersByTime).Delete(answerKey(a.At, token)); err != nil {
		return err
	}
	return tx.bucket(bucketAnswers).Delete([]byte(token))
}

// sweepAnswers removes answers that are older than answersFor. A clock that was
// set back removes none.
func (tx *Tx) sweepAnswers() error {
	cur := tx.bucket(answersByTime).Cursor()
	oldest := string(timeKey(tx.Now.Add(-answersFor)))
	var tokens []string
	for k, token := cur.First(); k != nil && string(k) < oldest; k, token = cur.Next() {
		tokens = append(tokens, string(token))
	}
	for _, token := range tokens {
		if err := tx.dropAnswer(token); err != nil {
			return err
		}
	}
	return nil
}

// undone says that a change was taken back and not brought in again.
func (tx *Tx) undone(seq uint64) (bool, error) {
	gone := map[uint64]bool{}
	cur := tx.bucket(bucketJournal).Cursor()
	for k, value := cur.Last(); k != nil && keyNumber(k) > seq; k, value = cur.Prev() {
		doc, err := document("change", k, value)
		if err != nil {
			return false, err
		}
		if !turns(doc) {
			continue
		}
		c, err := readChange(k, value)
		if err != nil {
			return false, err
		}
		noteTurn(gone, c)
	}
	return gone[seq], nil
}

// fillAnswers makes the index of the answers again.
func (tx *Tx) fillAnswers() error {
	if err := tx.empty(answersByTime); err != nil {
		return err
	}
	cur := tx.bucket(bucketAnswers).Cursor()
	for k, _ := cur.First(); k != nil; k, _ = cur.Next() {
		a, _, err := tx.answer(string(k))
		if err != nil {
			return err
		}
		if err := tx.bucket(answersByTime).Put(answerKey(a.At, string(k)), k); err != nil {
			return err
		}
	}
	return nil
}

// answers finds answers that cannot be read, that belong to no change, and an
// index that is not theirs.
func (h *Health) answers(tx *Tx) {
	cur, n := tx.bucket(bucketAnswers).Cursor(), 0
	for k, _ := cur.First(); k != nil; k, _ = cur.Next() {
		n++
		a, _, err := tx.answer(string(k))
		switch {
		case errors.Is(err, errSum): // reported already
		case err != nil:
			h.found("answer", "%v", err)
		case tx.bucket(bucketJournal).Get(idKey(a.Change)) == nil:
			h.found("answer", "answer %q belongs to change %d, which is not there", k, a.Change)
		case string(tx.bucket(answersByTime).Get(answerKey(a.At, string(k)))) != string(k):
			h.found("index", "%s misses answer %q", answersByTime, k)
		}
	}
	if have := keysIn(tx.bucket(answersByTime)); have != n {
		h.found("index", "%s has %d entries where the answers ask for %d", answersByTime, have, n)
	}
	h.Indexed += n
}

// TokenError is a token that was used for another verb. It answers
// errors.Is(err, jobs.ErrConflict).
type TokenError struct{ Token, Verb, Used string }

// Is answers to jobs.ErrConflict.
func (e *TokenError) Is(target error) bool { return target == jobs.ErrConflict }

func (e *TokenError) Error() string {
	return fmt.Sprintf("the token %q was used for %s and cannot serve %s", e.Token, e.Used, e.Verb)
}
