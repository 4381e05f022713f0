package store

import (
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"hash/crc32"
	"sync"
)

// A sealed value is a JSON document with its CRC-32C (RFC 3720, 12.1) before it,
// as eight hexadecimal digits.
const sealLen = 8

// errSum says that a value is not what was written.
var errSum = errors.New("its checksum does not match")

// castagnoli is the table of the sums. To make it takes a tenth of a bench word,
// so who opens the file sets that going beside all else.
var castagnoli = sync.OnceValue(func() *crc32.Table { return crc32.MakeTable(crc32.Castagnoli) })

func sumOf(doc []byte) uint32 { return crc32.Checksum(doc, castagnoli()) }

// seal gives a document with its sum before it.
func seal(doc []byte) []byte {
	return append(fmt.Appendf(make([]byte, 0, sealLen+len(doc)), "%08x", sumOf(doc)), doc...)
}

// unseal gives the document of a sealed value; ok is false where it is not as it
// was written. The document is part of the value and not a copy.
func unseal(value []byte) (doc []byte, ok bool) {
	if len(value) < sealLen {
		return nil, false
	}
	var sum, want [sealLen]byte
	doc = value[sealLen:]
	binary.BigEndian.PutUint32(sum[:], sumOf(doc))
	hex.Encode(want[:], sum[:sealLen/2])
	return doc, string(want[:]) == string(value[:sealLen])
}

const sumMember = `,"sum":"`

// sealChange ends the document of a change with its sum.
func sealChange(raw []byte) []byte {
	return fmt.Appendf(raw[:len(raw)-1], `%s%08x"}`, sumMember, sumOf(raw))
}

// sealedChange says whether a document of the journal is as it was written.
func sealedChange(raw []byte) bool {
	cut := len(raw) - len(sumMember) - 10
	if cut < 1 {
		return false
	}
	sum := crc32.Update(sumOf(raw[:cut]), castagnoli(), []byte("}"))
	return string(raw[cut:]) == fmt.Sprintf(`%s%08x"}`, sumMember, sum)
}
