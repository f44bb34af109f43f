package store

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"math"

	"github.com/fxamacker/cbor/v2"
)

// magic begins every record.
const magic = "staydown-record/2\n"

// ErrDamaged is why a record could not be read: it was cut short or changed, or another version wrote it. Either way it
// has to be made again.
var ErrDamaged = errors.New("the record is damaged or of another version")

// Pack gives the bytes of a record: magic, SHA-256 of the payload, payload (CBOR, RFC 8949, so that NaN, infinity and
// nil come back as they were and equal values give equal bytes in every process). Fields must be exported.
func Pack[T any](v *T) ([]byte, error) {
	payload, err := cbor.Marshal(v)
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256(payload)
	return append(append([]byte(magic), sum[:]...), payload...), nil
}

// decoding refuses fields that the type does not have. File names need not be UTF-8.
var decoding = cbor.DecOptions{
	ExtraReturnErrors: cbor.ExtraDecErrorUnknownField, UTF8: cbor.UTF8DecodeInvalid,
	MaxArrayElements: math.MaxInt32, MaxMapPairs: math.MaxInt32, // the checksum vouches for the payload
}

// Unpack reads what Pack wrote for the same type. Errors wrap ErrDamaged. Fields that the record does not have stay
// zero, so a record names the build that wrote it where that matters.
func Unpack[T any](data []byte) (*T, error) {
	const head = len(magic) + sha256.Size
	if len(data) < head || string(data[:len(magic)]) != magic {
		return nil, fmt.Errorf("%w: its head is missing", ErrDamaged)
	}
	if sum := sha256.Sum256(data[head:]); !bytes.Equal(data[len(magic):head], sum[:]) {
		return nil, fmt.Errorf("%w: its checksum is wrong", ErrDamaged)
	}
	mode, err := decoding.DecMode()
	if err != nil {
		return nil, err
	}
	v := new(T)
	if err := mode.Unmarshal(data[head:], v); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	return v, nil
}
