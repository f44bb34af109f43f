package store

import (
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"reflect"
)

// magic begins every record.
const magic = "staydown-record/1\n"

// maxDepth bounds how deep a record's type may nest.
const maxDepth = 32

// ErrDamaged is why a record could not be read: it was cut short or changed, or another version wrote it. Either way it
// has to be made again.
var ErrDamaged = errors.New("the record is damaged or of another version")

// Pack gives the bytes of a record: magic, SHA-256 of the type's shape, SHA-256 of the payload, payload. v is made of
// structs with exported fields, slices, arrays, strings, numbers and booleans; anything else is an error.
func Pack[T any](v *T) ([]byte, error) {
	shape, err := shapeOf(reflect.TypeFor[T](), 0)
	if err != nil {
		return nil, err
	}
	payload := pack(nil, reflect.ValueOf(v).Elem())
	shapeSum, sum := sha256.Sum256([]byte(shape)), sha256.Sum256(payload)
	out := make([]byte, 0, len(magic)+2*sha256.Size+len(payload))
	out = append(out, magic...)
	out = append(out, shapeSum[:]...)
	out = append(out, sum[:]...)
	return append(out, payload...), nil
}

// Unpack reads what Pack wrote for the same type. Memory is bounded by a multiple of len(data) that the type fixes.
// Errors wrap ErrDamaged.
func Unpack[T any](data []byte) (*T, error) {
	shape, err := shapeOf(reflect.TypeFor[T](), 0)
	if err != nil {
		return nil, err
	}
	head := len(magic) + 2*sha256.Size
	if len(data) < head || string(data[:len(magic)]) != magic {
		return nil, fmt.Errorf("%w: its head is missing", ErrDamaged)
	}
	shapeSum, sum := sha256.Sum256([]byte(shape)), sha256.Sum256(data[head:])
	if string(data[len(magic):len(magic)+sha256.Size]) != string(shapeSum[:]) {
		return nil, fmt.Errorf("%w: it has other fields", ErrDamaged)
	}
	if string(data[len(magic)+sha256.Size:head]) != string(sum[:]) {
		return nil, fmt.Errorf("%w: its checksum is wrong", ErrDamaged)
	}
	return unpackPayload[T](data[head:])
}

func unpackPayload[T any](payload []byte) (*T, error) {
	v := new(T)
	u := unpacker{rest: payload}
	if u.value(reflect.ValueOf(v).Elem()); u.failed {
		return nil, fmt.Errorf("%w: its payload does not fit its type", ErrDamaged)
	}
	if len(u.rest) > 0 {
		return nil, fmt.Errorf("%w: %d bytes are left over", ErrDamaged, len(u.rest))
	}
	return v, nil
}

// shapeOf spells a type with the names and kinds of all fields, so that records of an older shape are told apart.
func shapeOf(t reflect.Type, depth int) (string, error) {
	if depth > maxDepth {
		return "", fmt.Errorf("type %v nests deeper than %d", t, maxDepth)
	}
	switch t.Kind() {
	case reflect.Struct:
		s := "struct{"
		for i := range t.NumField() {
			f := t.Field(i)
			if !f.IsExported() {
				return "", fmt.Errorf("field %s of %v is not exported and would be lost", f.Name, t)
			}
			inner, err := shapeOf(f.Type, depth+1)
			if err != nil {
				return "", err
			}
			s += f.Name + " " + inner + ";"
		}
		if t.NumField() == 0 {
			return "", fmt.Errorf("type %v holds nothing", t)
		}
		return s + "}", nil
	case reflect.Slice, reflect.Array:
		if t.Kind() == reflect.Array && t.Len() == 0 {
			return "", fmt.Errorf("type %v holds nothing", t)
		}
		inner, err := shapeOf(t.Elem(), depth+1)
		if err != nil {
			return "", err
		}
		if t.Kind() == reflect.Array {
			return fmt.Sprintf("[%d]%s", t.Len(), inner), nil
		}
		return "[]" + inner, nil
	case reflect.Bool, reflect.String, reflect.Float32, reflect.Float64,
		reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64,
		reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		return t.Kind().String(), nil
	}
	return "", fmt.Errorf("type %v cannot be kept in a record", t)
}

func pack(b []byte, v reflect.Value) []byte {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			b = pack(b, v.Field(i))
		}
	case reflect.Array:
		for i := range v.Len() {
			b = pack(b, v.Index(i))
		}
	case reflect.Slice:
		// The length counts from 1, so that nil (0) and empty stay apart.
		if v.IsNil() {
			return binary.AppendUvarint(b, 0)
		}
		b = binary.AppendUvarint(b, uint64(v.Len())+1)
		if v.Type().Elem().Kind() == reflect.Uint8 {
			return append(b, v.Bytes()...)
		}
		for i := range v.Len() {
			b = pack(b, v.Index(i))
		}
	case reflect.String:
		b = binary.AppendUvarint(b, uint64(v.Len()))
		b = append(b, v.String()...)
	case reflect.Bool:
		if v.Bool() {
			return append(b, 1)
		}
		return append(b, 0)
	case reflect.Float32:
		return binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(v.Float())))
	case reflect.Float64:
		return binary.LittleEndian.AppendUint64(b, math.Float64bits(v.Float()))
	case reflect.Uint8, reflect.Uint, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		if v.Kind() == reflect.Uint8 {
			return append(b, byte(v.Uint()))
		}
		return binary.AppendUvarint(b, v.Uint())
	default: // shapeOf lets only signed integers come here
		return binary.AppendVarint(b, v.Int())
	}
	return b
}

// unpacker reads values off a payload; once failed is set, nothing more is read.
type unpacker struct {
	rest   []byte
	failed bool
}

func (u *unpacker) take(n uint64) []byte {
	if u.failed || n > uint64(len(u.rest)) {
		u.failed = true
		return nil
	}
	out := u.rest[:n]
	u.rest = u.rest[n:]
	return out
}

func (u *unpacker) uvarint() uint64 {
	x, n := binary.Uvarint(u.rest)
	if n <= 0 {
		u.failed = true
		return 0
	}
	u.rest = u.rest[n:]
	return x
}

func (u *unpacker) value(v reflect.Value) {
	if u.failed {
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			u.value(v.Field(i))
		}
	case reflect.Array:
		for i := range v.Len() {
			u.value(v.Index(i))
		}
	case reflect.Slice:
		u.slice(v)
	case reflect.String:
		v.SetString(string(u.take(u.uvarint())))
	case reflect.Bool:
		if b := u.take(1); b != nil {
			u.failed = b[0] > 1
			v.SetBool(b[0] == 1)
		}
	case reflect.Float32:
		if b := u.take(4); b != nil {
			v.Set(reflect.ValueOf(math.Float32frombits(binary.LittleEndian.Uint32(b))).Convert(v.Type()))
		}
	case reflect.Float64:
		if b := u.take(8); b != nil {
			v.SetFloat(math.Float64frombits(binary.LittleEndian.Uint64(b)))
		}
	case reflect.Uint8:
		if b := u.take(1); b != nil {
			v.SetUint(uint64(b[0]))
		}
	case reflect.Uint, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		x := u.uvarint()
		u.failed = u.failed || v.OverflowUint(x)
		v.SetUint(x)
	default:
		x, n := binary.Varint(u.rest)
		if n <= 0 || v.OverflowInt(x) {
			u.failed = true
			return
		}
		u.rest = u.rest[n:]
		v.SetInt(x)
	}
}

// slice reads a slice. Its length is believed only as far as the bytes that are left can hold it.
func (u *unpacker) slice(v reflect.Value) {
	n := u.uvarint()
	if u.failed || n == 0 {
		return
	}
	n--
	if n > uint64(len(u.rest)/leastBytes(v.Type().Elem())) {
		u.failed = true
		return
	}
	if v.Type().Elem().Kind() == reflect.Uint8 {
		v.SetBytes(append([]byte{}, u.take(n)...))
		return
	}
	v.Set(reflect.MakeSlice(v.Type(), int(n), int(n)))
	for i := range int(n) {
		u.value(v.Index(i))
	}
}

// leastBytes is the size of the shortest payload of a type.
func leastBytes(t reflect.Type) int {
	switch t.Kind() {
	case reflect.Struct:
		n := 0
		for i := range t.NumField() {
			n += leastBytes(t.Field(i).Type)
		}
		return n
	case reflect.Array:
		return t.Len() * leastBytes(t.Elem())
	case reflect.Float32:
		return 4
	case reflect.Float64:
		return 8
	}
	return 1
}
