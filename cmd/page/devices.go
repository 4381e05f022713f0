package page

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"

	"bookmatch/jobs"
)

// Kind is what a device may see.
type Kind string

// The kinds of device.
const (
	Bench Kind = "bench" // bench words, cures, necks, bits, the list; no money, no customer
	Desk  Kind = "desk"  // everything
)

// Device is a paired device. Its token is kept as a hash alone.
type Device struct {
	Name    string    `json:"name"`
	Kind    Kind      `json:"kind"`
	Token   string    `json:"token_sha256"`
	Created time.Time `json:"created"`
	Seen    jobs.Day  `json:"seen,omitempty"` // the last evening
}

// Keys is what the page keeps outside the shop's file, so that a copy of the shop
// that is put back revives no device: the devices, the code that waits, and the
// key of form tokens.
type Keys struct {
	Devices []Device `json:"devices"`
	Key     string   `json:"key"`
	Code    *Code    `json:"code,omitempty"`
	Theme   string   `json:"-"`

	path string
}

// Code pairs one device. It lives five minutes and five wrong tries.
type Code struct {
	Hash  string    `json:"code_sha256"`
	Kind  Kind      `json:"kind"`
	Until time.Time `json:"until"`
	Wrong int       `json:"wrong"`
}

const (
	codeLife  = 5 * time.Minute
	codeTries = 5
	// crockford is the alphabet of a code: base 32 without I, L, O and U (Crockford).
	crockford = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
)

// LoadKeys reads the keys at path, or makes new ones.
func LoadKeys(path string) (*Keys, error) {
	k := &Keys{path: path}
	raw, err := os.ReadFile(path)
	if err == nil {
		return k, json.Unmarshal(raw, k)
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	k.Key = hex.EncodeToString(random(32))
	return k, k.save()
}

// save writes the keys whole or not at all, for their owner alone.
func (k *Keys) save() error {
	if err := os.MkdirAll(filepath.Dir(k.path), 0o700); err != nil {
		return err
	}
	raw, err := json.MarshalIndent(k, "", "  ")
	if err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(k.path), ".page-*")
	if err != nil {
		return err
	}
	_, err = f.Write(append(raw, '\n'))
	err = errors.Join(err, f.Sync(), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), k.path)
	}
	if err != nil {
		os.Remove(f.Name())
	}
	return err
}

// change makes a change to the keys as their file holds them then, one program at a
// time: a device that was revoked meanwhile is not written back.
func (k *Keys) change(fn func() error) error {
	if err := os.MkdirAll(filepath.Dir(k.path), 0o700); err != nil {
		return err
	}
	lock, err := os.OpenFile(filepath.Join(filepath.Dir(k.path), "page.lock"), os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return err
	}
	defer lock.Close() // and with it the lock
	if err := syscall.Flock(int(lock.Fd()), syscall.LOCK_EX); err != nil {
		return err
	}
	fresh, err := LoadKeys(k.path)
	if err != nil {
		return err
	}
	*k = *fresh
	err = fn()
	return errors.Join(err, k.save())
}

func random(n int) []byte {
	b := make([]byte, n)
	rand.Read(b) // never fails
	return b
}

func hashOf(s string) string {
	sum := sha256.Sum256([]byte(s))
	return hex.EncodeToString(sum[:])
}

func same(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }

// NewCode makes a code for a device of a kind. An older one ends.
func (k *Keys) NewCode(kind Kind, now time.Time) (string, error) {
	b := random(8)
	for i := range b {
		b[i] = crockford[b[i]&31]
	}
	code := string(b)
	return code, k.change(func() error { k.Code = &Code{hashOf(code), kind, now.Add(codeLife), 0}; return nil })
}

// plainCode reads a code as people type it: small letters, gaps, and the letters
// that look like digits.
func plainCode(typed string) string {
	return strings.NewReplacer("-", "", " ", "", "O", "0", "I", "1", "L", "1").Replace(strings.ToUpper(strings.TrimSpace(typed)))
}

// errCode is a code that does not pair.
var errCode = errors.New("this code is not right, or its five minutes are over")

// Pair spends a code: it gives the token of a new device.
func (k *Keys) Pair(typed, name string, now time.Time) (d Device, token string, err error) {
	err = k.change(func() error {
		c := k.Code
		if c == nil || !now.Before(c.Until) {
			return errCode
		}
		if !same(c.Hash, hashOf(plainCode(typed))) {
			if c.Wrong++; c.Wrong >= codeTries {
				k.Code = nil
			}
			return errCode
		}
		k.Code = nil
		token = hex.EncodeToString(random(32))
		d = Device{Name: k.freeName(name), Kind: c.Kind, Token: hashOf(token), Created: now.UTC().Truncate(time.Second)}
		k.Devices = append(k.Devices, d)
		return nil
	})
	return d, token, err
}

// freeName gives a name that no other device has.
func (k *Keys) freeName(name string) string {
	name = strings.Join(strings.Fields(name), " ")
	if name == "" {
		name = "device"
	}
	if r := []rune(name); len(r) > 40 {
		name = string(r[:40])
	}
	free, n := name, 2
	for slices.ContainsFunc(k.Devices, func(d Device) bool { return d.Name == free }) {
		free = fmt.Sprintf("%s %d", name, n)
		n++
	}
	return free
}

// Of gives the device of a token.
func (k *Keys) Of(token string) (Device, bool) {
	if token == "" {
		return Device{}, false
	}
	hash := hashOf(token)
	for _, d := range k.Devices {
		if same(d.Token, hash) {
			return d, true
		}
	}
	return Device{}, false
}

// Saw notes the evening on which a device was last here.
func (k *Keys) Saw(name string, evening jobs.Day) error {
	return k.change(func() error {
		for i := range k.Devices {
			if d := &k.Devices[i]; d.Name == name {
				d.Seen = evening
			}
		}
		return nil
	})
}

// Revoke shuts a device out, all of them for an empty name. It says how many.
func (k *Keys) Revoke(name string) (int, error) {
	n := 0
	err := k.change(func() error {
		before := len(k.Devices)
		k.Devices = slices.DeleteFunc(k.Devices, func(d Device) bool { return name == "" || strings.EqualFold(d.Name, name) })
		n = before - len(k.Devices)
		return nil
	})
	return n, err
}
