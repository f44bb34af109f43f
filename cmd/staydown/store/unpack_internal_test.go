package store

import (
	"bytes"
	"errors"
	"reflect"
	"testing"

	"staydown/hold"
)

// FuzzPayload feeds payloads past the checksum, as a file made on purpose could: no panic, no memory beyond a multiple
// of the input, and what is accepted writes back to an equal value.
func FuzzPayload(f *testing.F) {
	r := hold.Result{Pieces: make([]hold.Piece, 2), Assumed: []string{"a", ""}, Findings: []hold.Finding{{Rule: "slip"}}}
	data, err := Pack(&r)
	if err != nil {
		f.Fatal(err)
	}
	head := len(data) - len(pack(nil, reflect.ValueOf(r)))
	f.Add(data[head:])
	f.Add([]byte{})
	f.Add(bytes.Repeat([]byte{0xff}, 64))
	f.Fuzz(func(t *testing.T, payload []byte) {
		got, err := unpackPayload[hold.Result](payload)
		if err != nil {
			if !errors.Is(err, ErrDamaged) {
				t.Fatalf("an error of another kind: %v", err)
			}
			return
		}
		once, err := Pack(got)
		if err != nil {
			t.Fatal(err)
		}
		back, err := Unpack[hold.Result](once)
		if err != nil {
			t.Fatal(err)
		}
		if twice, err := Pack(back); err != nil || !bytes.Equal(once, twice) {
			t.Fatalf("a value changed on its way through a record (%v)", err)
		}
	})
}
