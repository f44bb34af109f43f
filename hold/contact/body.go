package contact

import (
	"errors"
	"fmt"

	"github.com/paulmach/orb"
)

// Body is one piece at one moment: what presses it on the table and what else holds it.
//
// The zero value is a piece that nothing holds.
type Body struct {
	// Elements cover the face where it lies on open zones. Each is taken for compact (about as wide as long). Elements
	// without pressure still carry tack and count as contact.
	Elements []Element

	WeightN          float64
	WeightX, WeightY float64 // center of gravity, mm

	Friction float64 // piece on layer or chuck

	// TackPa is the shear strength of an adhesive face, acting on the area of all elements. It resists sliding only:
	// peeling such a sheet takes a small part of its shear strength, so it never counts against lift and tip.
	TackPa float64

	// Outline holds the corners, in any order, of the face that rests on the table. A piece tips about the edges of its
	// convex hull. Left out, squares of the elements' areas and the faces below clamps stand for it; beside slim
	// elements these may reach out by an eighth of the element's longer side, but not beyond the hull of Rim.
	Outline []orb.Point

	// Rim is a hull of the whole piece, see Hull; none if left out.
	Rim []orb.Point

	Webs []Web

	Presses []Press // clamps

	// Room holds webs that Support.With may add later: it is quicker when their places are known.
	Room []Web

	// Anchored is set when the piece is screwed down or its frame is clamped as well: then nothing that vacuum does or
	// fails to do moves it.
	Anchored bool

	// Enough is a margin from which on a safe lower bound will do: where the straight line between full slip and full
	// twist already gives it, the exact limit surface is not asked, which is much faster. 0: always exact.
	Enough float64
}

// validate refuses what is not a number, negative or out of all proportion.
func (b Body) validate() error {
	switch {
	case len(b.Elements) > maxElements:
		return fmt.Errorf("body: %d elements; give at most %d", len(b.Elements), maxElements)
	case len(b.Webs) > maxWebs:
		return fmt.Errorf("body: %d webs; give at most %d", len(b.Webs), maxWebs)
	case len(b.Presses) > maxPresses:
		return fmt.Errorf("body: %d clamps; give at most %d", len(b.Presses), maxPresses)
	case len(b.Outline) > maxOutline:
		return fmt.Errorf("body: outline of %d points; give at most %d", len(b.Outline), maxOutline)
	}
	for _, q := range [...]quantity{{"WeightX", b.WeightX, maxMM}, {"WeightY", b.WeightY, maxMM}} {
		if err := q.check(-maxMM); err != nil {
			return fmt.Errorf("body: %w", err)
		}
	}
	for _, q := range [...]quantity{
		{"WeightN", b.WeightN, maxN}, {"Friction", b.Friction, maxFriction}, {"TackPa", b.TackPa, maxPa},
		{"Enough", b.Enough, maxN},
	} {
		if err := q.check(0); err != nil {
			return fmt.Errorf("body: %w", err)
		}
	}
	for i, p := range b.Elements {
		if err := p.validate(); err != nil {
			return fmt.Errorf("body: element %d: %w", i, err)
		}
	}
	for i, w := range b.Webs {
		if err := w.validate(); err != nil {
			return fmt.Errorf("body: web %d: %w", i, err)
		}
	}
	for i, p := range b.Presses {
		if err := p.validate(); err != nil {
			return fmt.Errorf("body: clamp %d: %w", i, err)
		}
	}
	return errors.Join(validatePoints("body: outline", b.Outline), validatePoints("body: rim", b.Rim))
}

// validatePoints refuses points that are not numbers or out of all proportion.
func validatePoints(what string, points []orb.Point) error {
	for i, p := range points {
		for k, name := range [...]string{"X", "Y"} {
			if err := (quantity{name, p[k], maxMM}).check(-maxMM); err != nil {
				return fmt.Errorf("%s point %d: %w", what, i, err)
			}
		}
	}
	return nil
}

func (p Element) validate() error {
	if p.AreaMM2 >= 0 && p.AreaMM2 <= maxMM2 && p.PressurePa >= 0 && p.PressurePa <= maxPa &&
		p.X >= -maxMM && p.X <= maxMM && p.Y >= -maxMM && p.Y <= maxMM {
		return nil
	}
	for _, q := range [...]quantity{{"X", p.X, maxMM}, {"Y", p.Y, maxMM}} {
		if err := q.check(-maxMM); err != nil {
			return err
		}
	}
	if err := (quantity{"AreaMM2", p.AreaMM2, maxMM2}).check(0); err != nil {
		return err
	}
	return quantity{"PressurePa", p.PressurePa, maxPa}.check(0)
}
