package store_test

import (
	"bytes"
	"errors"
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"staydown/cmd/staydown/store"
	"staydown/hold/result"
)

// same compares two values: NaN equals NaN, 0 and -0 differ, nil and empty slices differ.
func same(a, b reflect.Value) bool {
	switch a.Kind() {
	case reflect.Struct:
		for i := range a.NumField() {
			if !same(a.Field(i), b.Field(i)) {
				return false
			}
		}
		return true
	case reflect.Slice, reflect.Array:
		if a.Len() != b.Len() || a.Kind() == reflect.Slice && a.IsNil() != b.IsNil() {
			return false
		}
		for i := range a.Len() {
			if !same(a.Index(i), b.Index(i)) {
				return false
			}
		}
		return true
	case reflect.Float32, reflect.Float64:
		return math.Float64bits(a.Float()) == math.Float64bits(b.Float()) || math.IsNaN(a.Float()) &&
			math.IsNaN(b.Float())
	}
	return a.Interface() == b.Interface()
}

// fill sets every field of a value at random, slices up to three long.
func fill(t *rapid.T, v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			fill(t, v.Field(i))
		}
	case reflect.Array:
		for i := range v.Len() {
			fill(t, v.Index(i))
		}
	case reflect.Slice:
		n := rapid.IntRange(-1, 3).Draw(t, "length")
		if n < 0 {
			return
		}
		v.Set(reflect.MakeSlice(v.Type(), n, n))
		for i := range n {
			fill(t, v.Index(i))
		}
	case reflect.String:
		v.SetString(rapid.String().Draw(t, "string"))
	case reflect.Bool:
		v.SetBool(rapid.Bool().Draw(t, "bool"))
	case reflect.Float32, reflect.Float64:
		f := rapid.OneOf(rapid.Float64(), rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1),
			math.Copysign(0, -1)})).Draw(t, "float")
		v.SetFloat(float64(float32(f)))
		if v.Kind() == reflect.Float64 {
			v.SetFloat(f)
		}
	case reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64, reflect.Uint:
		v.SetUint(uint64(rapid.Uint8().Draw(t, "uint")))
	default:
		v.SetInt(int64(rapid.Int16().Draw(t, "int")))
	}
}

// The law of a record: what is read is what was written, and writing it again gives the same bytes.
func TestRecordOfAResultRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var r result.Result
		fill(t, reflect.ValueOf(&r).Elem())
		data, err := store.Pack(&r)
		if err != nil {
			t.Fatal(err)
		}
		back, err := store.Unpack[result.Result](data)
		if err != nil {
			t.Fatal(err)
		}
		if !same(reflect.ValueOf(r), reflect.ValueOf(*back)) {
			t.Fatalf("wrote %+v\nread %+v", r, *back)
		}
		again, err := store.Pack(back)
		if err != nil || !bytes.Equal(data, again) {
			t.Fatalf("written again it differs (%v)", err)
		}
	})
}

type sample struct {
	Name  string
	Sizes []float64
	Deep  [][]int32
	Flag  bool
	Raw   []byte
	Small float32
	Many  uint64
}

func packed(t testing.TB) []byte {
	t.Helper()
	data, err := store.Pack(&sample{Name: "plate \xff", Sizes: []float64{1, math.Inf(-1)}, Deep: [][]int32{{1, -2}, nil,
		{}}, Flag: true,
		Raw: []byte{0, 255}, Small: 0.5, Many: math.MaxUint64})
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func TestAnyChangedByteIsFound(t *testing.T) {
	data := packed(t)
	for i := range data {
		for _, flip := range []byte{1, 0x80, 0xff} {
			bad := bytes.Clone(data)
			bad[i] ^= flip
			if _, err := store.Unpack[sample](bad); !errors.Is(err, store.ErrDamaged) {
				t.Fatalf("byte %d changed by %#x: %v", i, flip, err)
			}
		}
	}
}

func TestAnyCutIsFound(t *testing.T) {
	data := packed(t)
	for n := range data {
		if _, err := store.Unpack[sample](data[:n]); !errors.Is(err, store.ErrDamaged) {
			t.Fatalf("cut to %d bytes: %v", n, err)
		}
	}
	if _, err := store.Unpack[sample](append(bytes.Clone(data), 0)); !errors.Is(err, store.ErrDamaged) {
		t.Fatalf("a byte too many: %v", err)
	}
}

func TestRecordsOfAnotherShapeAreRefused(t *testing.T) {
	type renamed struct {
		Title string
		Sizes []float64
		Deep  [][]int32
		Flag  bool
		Raw   []byte
		Small float32
		Many  uint64
	}
	if _, err := store.Unpack[renamed](packed(t)); !errors.Is(err, store.ErrDamaged) {
		t.Fatalf("a record with another field: %v", err)
	}
}

func TestNamesThatAreNotUTF8ComeBack(t *testing.T) {
	back, err := store.Unpack[sample](packed(t))
	if err != nil || back.Name != "plate \xff" {
		t.Errorf("%+v, %v", back, err)
	}
}
