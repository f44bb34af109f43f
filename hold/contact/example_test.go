package contact_test

import (
	"fmt"

	"staydown/hold/contact"
)

// A cutter pulls at the rim of a 60 x 40 mm piece that 70 kPa hold down, and lifts a little.
func ExampleSupport_Check() {
	var face []contact.Element
	for x := -28.0; x < 30; x += 4 {
		for y := -18.0; y < 20; y += 4 {
			face = append(face, contact.Element{X: x, Y: y, AreaMM2: 16, PressurePa: 70e3})
		}
	}
	piece, err := contact.NewSupport(contact.Body{Elements: face, Friction: 0.3, WeightN: 0.4})
	if err != nil {
		fmt.Println(err)
		return
	}
	load := contact.Load{XN: 5, YN: 22, ZN: 4, X: 30, Y: -10, HeightMM: 6}
	o := piece.Check(load)
	fmt.Printf("%v: margin %.2f, hold %.1f N, load %.1f N\n", o.Mode, o.Margin, o.HoldN, o.LoadN)
	for _, each := range piece.All(load) {
		fmt.Printf("%5v %.2f\n", each.Mode, each.Margin)
	}
	// Output:
	// twist: margin 1.05, hold 164.4 N, load 22.6 N
	//  lift 42.10
	//  slip 2.19
	// twist 1.05
	//   tip 13.37
}
