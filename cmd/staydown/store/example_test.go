package store_test

import (
	"errors"
	"fmt"
	"math"

	"staydown/cmd/staydown/store"
)

func ExamplePack() {
	type margin struct {
		Piece int
		Least float64
	}
	data, err := store.Pack(&[]margin{{1, math.Inf(1)}, {2, 0.5}})
	if err != nil {
		fmt.Println(err)
		return
	}
	back, err := store.Unpack[[]margin](data)
	fmt.Println(*back, err)

	data[len(data)-1]++ // as a bad disk might
	_, err = store.Unpack[[]margin](data)
	fmt.Println(errors.Is(err, store.ErrDamaged))
	// Output:
	// [{1 +Inf} {2 0.5}] <nil>
	// true
}
