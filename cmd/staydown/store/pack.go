package store

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"math"

	"github.com/fxamacker/cbor/v2"
)

// magic starts every record.
const magic = "staydown-record/2\n"

// ErrDamaged: the record is truncated, changed, or from another version. In each case it must be made again.
var ErrDamaged = errors.New("the record is damaged or of another version")

// Pack returns the bytes of a record: magic, SHA-256 of the payload, payload. The payload is CBOR (RFC 8949): it keeps
// NaN, infinity and nil, and equal values give equal bytes in every process. Fields must be exported.
func Pack[T any](v *T) ([]byte, error) {
	payload, err := cbor.Marshal(v)
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256(payload)
	return append(append([]byte(magic), sum[:]...), payload...), nil
}

// decoding refuses unknown fields. File names need not be UTF-8.
var decoding = cbor.DecOptions{
	ExtraReturnErrors: cbor.ExtraDecErrorUnknownField, UTF8: cbor.UTF8DecodeInvalid,
	MaxArrayElements: math.MaxInt32, MaxMapPairs: math.MaxInt32, // the payload is trusted by its checksum
}

// Unpack reads what Pack wrote for the same type. Errors wrap ErrDamaged. Fields missing in the record stay zero, so a
// record names its build where that matters.
func Unpack[T any](data []byte) (*T, error) {
	const head = len(magic) + sha256.Size
	if len(data) < head || string(data[:len(magic)]) != magic {
		return nil, fmt.Errorf("%w: its header is missing", ErrDamaged)
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
