package store

import (
	"encoding/binary"
	"testing"
)

// CRC-32C by published values: the check value of "123456789" (Castagnoli, as in
// the catalogue of parametrised CRC algorithms, CRC-32/ISCSI) and the test
// vectors of RFC 3720 appendix B.4, whose bytes stand in the order of the wire.
func TestSumsOfPublishedVectors(t *testing.T) {
	fill := func(b byte) []byte {
		out := make([]byte, 32)
		for i := range out {
			out[i] = b
		}
		return out
	}
	up, down := make([]byte, 32), make([]byte, 32)
	for i := range up {
		up[i], down[i] = byte(i), byte(31-i)
	}
	wire := func(b ...byte) uint32 { return binary.LittleEndian.Uint32(b) }
	for _, c := range []struct {
		name string
		doc  []byte
		want uint32
	}{
		{"check value", []byte("123456789"), 0xE3069283},
		{"B.4, 32 bytes of zeroes", fill(0), wire(0xaa, 0x36, 0x91, 0x8a)},
		{"B.4, 32 bytes of ones", fill(0xff), wire(0x43, 0xab, 0xa8, 0x62)},
		{"B.4, 32 bytes counting up", up, wire(0x4e, 0x79, 0xdd, 0x46)},
		{"B.4, 32 bytes counting down", down, wire(0x5c, 0xdb, 0x3f, 0x11)},
		{"B.4, an iSCSI read command", []byte{
			0x01, 0xc0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0,
			0x14, 0, 0, 0, 0, 0, 0x04, 0, 0, 0, 0, 0x14, 0, 0, 0, 0x18,
			0x28, 0, 0, 0, 0, 0, 0, 0, 0x02, 0, 0, 0, 0, 0, 0, 0,
		}, wire(0x56, 0x3a, 0x96, 0xd9)},
	} {
		if got := sumOf(nil, c.doc); got != c.want {
			t.Errorf("%s: got %08x, want %08x", c.name, got, c.want)
		}
	}
	if got := string(seal(nil, []byte("123456789"))); got != "e3069283123456789" {
		t.Errorf("sealed: %s", got)
	}
	if got := string(seal([]byte("1234"), []byte("56789"))); got != "e306928356789" {
		t.Errorf("sealed under a key: %s", got)
	}
}

func TestSealNoticesEveryFlippedBit(t *testing.T) {
	key := []byte("N7")
	raw := seal(key, []byte(`{"id":7,"note":"done 6"}`))
	if _, ok := unseal(key, raw); !ok {
		t.Fatal("a fresh seal does not hold")
	}
	for i := range raw {
		for bit := range 8 {
			raw[i] ^= 1 << bit
			if _, ok := unseal(key, raw); ok {
				t.Errorf("byte %d bit %d: not noticed", i, bit)
			}
			raw[i] ^= 1 << bit
		}
	}
	for i := range key {
		for bit := range 8 {
			key[i] ^= 1 << bit
			if _, ok := unseal(key, raw); ok {
				t.Errorf("key byte %d bit %d: not noticed", i, bit)
			}
			key[i] ^= 1 << bit
		}
	}
	for n := range len(raw) {
		if _, ok := unseal(key, raw[:n]); ok {
			t.Errorf("%d bytes: not noticed", n)
		}
	}
}
