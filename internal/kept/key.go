package kept

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"math"
)

// Key stands for all that shapes a thing: two things with the same key are the
// same.
type Key [sha256.Size]byte

// KeyOf returns the key of the parts, in their order: strings, whole numbers,
// float64 by their exact bits, booleans, other keys, and lists of these. Parts
// run into one another nowhere: "ab", "c" is another key than "a", "bc". Any
// other type is a mistake of the caller and panics.
func KeyOf(parts ...any) Key {
	var data []byte
	for _, part := range parts {
		data = appendPart(data, part)
	}
	return sha256.Sum256(data)
}

func appendPart(data []byte, part any) []byte {
	number := func(kind byte, bits uint64) []byte {
		return binary.LittleEndian.AppendUint64(append(data, kind), bits)
	}
	switch part := part.(type) {
	case string:
		return append(number('s', uint64(len(part))), part...)
	case []byte:
		return append(number('y', uint64(len(part))), part...)
	case int:
		return number('i', uint64(part))
	case float64:
		return number('f', math.Float64bits(part))
	case bool:
		if part {
			return append(data, 'T')
		}
		return append(data, 'F')
	case Key:
		return append(append(data, 'k'), part[:]...)
	case []Key:
		data = number('K', uint64(len(part)))
		for _, key := range part {
			data = append(data, key[:]...)
		}
		return data
	case []float64:
		data = number('l', uint64(len(part)))
		for _, v := range part {
			data = binary.LittleEndian.AppendUint64(data, math.Float64bits(v))
		}
		return data
	}
	panic(fmt.Sprintf("kept: no key is made of a %T", part))
}
