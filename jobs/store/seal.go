package store

import (
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"hash/crc32"
	"sync"
)

// A sealed value is a JSON document with a checksum before it, as eight
// hexadecimal digits: the CRC-32C (RFC 3720, 12.1) of the key and the document, so
// that neither can change, nor one be under the key of another, unnoticed.
const sealLen = 8

// errSum says that a value is not what was written.
var errSum = errors.New("its checksum does not match")

// castagnoli is the table of the sums. To make it takes a tenth of a bench word,
// so who opens the file starts that at the same time.
var castagnoli = sync.OnceValue(func() *crc32.Table { return crc32.MakeTable(crc32.Castagnoli) })

func sumOf(key, doc []byte) uint32 {
	return crc32.Update(crc32.Checksum(key, castagnoli()), castagnoli(), doc)
}

func sumText(sum uint32) (text [sealLen]byte) {
	var raw [sealLen / 2]byte
	binary.BigEndian.PutUint32(raw[:], sum)
	hex.Encode(text[:], raw[:])
	return text
}

// seal gives a document with its sum before it.
func seal(key, doc []byte) []byte {
	text := sumText(sumOf(key, doc))
	return append(append(make([]byte, 0, sealLen+len(doc)), text[:]...), doc...)
}

// unseal gives the document of a sealed value; ok is false where it is not as it
// was written. The document is part of the value and not a copy.
func unseal(key, value []byte) (doc []byte, ok bool) {
	if len(value) < sealLen {
		return nil, false
	}
	doc = value[sealLen:]
	text := sumText(sumOf(key, doc))
	return doc, string(text[:]) == string(value[:sealLen])
}

// document gives the document of a sealed value, or a *DamagedRecordError.
func document(noun string, key, value []byte) ([]byte, error) {
	doc, ok := unseal(key, value)
	if !ok {
		return nil, damaged(noun, key, errSum)
	}
	return doc, nil
}

// readValue reads a sealed value into a zero value. A value that is not as it was
// written is a *DamagedRecordError, and v stays as it was.
func readValue(noun string, key, value []byte, v any) error {
	doc, err := document(noun, key, value)
	if err != nil {
		return err
	}
	if err := json.Unmarshal(doc, v); err != nil {
		return damaged(noun, key, err)
	}
	return nil
}

// readSealed reads one value of a bucket; ok is false where there is none.
func (tx *Tx) readSealed(bucket, noun string, key []byte, v any) (ok bool, err error) {
	value := tx.bucket(bucket).Get(key)
	if value == nil {
		return false, nil
	}
	return true, readValue(noun, key, value, v)
}
