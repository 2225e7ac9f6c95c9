// Package readings says what each named patch of a scene must read: its codes
// in a file and its place on the line and in the picture. Everything follows
// from the definition of the pattern; nothing is measured here.
package readings

import (
	"cmp"
	"fmt"
	"math"

	"backporch/colorimetry"
	"backporch/pattern"
	"backporch/timing"
)

// A Reading is one patch.
type Reading struct {
	Patch pattern.Patch

	// Codes8 and Codes10 are the Y, CB and CR codes of ITU-R BT.601 that a file
	// holds for the patch under the plan, and To8 and To10 those of the far end
	// of a ramp. Levels that the coding cannot reach get its last code.
	Codes8, Codes10, To8, To10 [3]uint16

	// RGB is R'G'B' in per cent of white, before any plan.
	RGB, ToRGB [3]float64

	// Held is what the wire carries, and HeldTo at the far end, in units of the
	// wanted family: the patch itself, or what a known player can reach with the
	// view's coding; Clipped is then true.
	Held, HeldTo colorimetry.Signal
	Clipped      bool

	// Luma is the level of Held on the plan's wire, or on the player's if no
	// wire is wanted; nil when neither is known.
	Luma *colorimetry.Millivolt

	// Microseconds is the middle of the patch after 0H of Line, the line of the
	// shown raster, of field 1 if it can be, that is nearest to its middle.
	Microseconds float64
	Line         timing.Line
}

// Ends reports whether the patch has two levels, and the word that stands
// between them: a ramp goes from one to the other, stripes have both.
func (r Reading) Ends() (word string, two bool) {
	switch {
	case r.Patch.Want == r.Patch.To:
		return "", false
	case r.Patch.Kind == pattern.Ramp || r.Patch.Kind == pattern.RampDown:
		return " to ", true
	default:
		return " and ", true
	}
}

// Words writes three codes, and those of the far end where the patch has two
// levels: "16 128 128 to 235 128 128".
func (r Reading) Words(codes, to [3]uint16) string {
	three := func(c [3]uint16) string { return fmt.Sprintf("%d %d %d", c[0], c[1], c[2]) }
	if word, two := r.Ends(); two {
		return three(codes) + word + three(to)
	}
	return three(codes)
}

// Of returns the readings of a scene's patches, in their order.
func Of(s *pattern.Scene, v pattern.View, p colorimetry.Plan) []Reading {
	list := make([]Reading, len(s.Patches))
	system := v.Shown.Scan.System
	middle := system.Left.Add(system.Right).Float64() / 2
	for i, patch := range s.Patches {
		r := Reading{
			Patch:        patch,
			Microseconds: middle + (patch.X0+patch.X1)/2/system.HeightsPerMicrosecond().Float64(),
			Line:         nearest(v.Shown, patch),
		}
		r.Codes8, r.Codes10, r.RGB = codes(p, patch.Want)
		r.To8, r.To10, r.ToRGB = codes(p, patch.To)
		var near, far bool
		r.Held, near = held(p, v.Coding, patch.Want)
		r.HeldTo, far = held(p, v.Coding, patch.To)
		r.Clipped = near || far
		if wire := cmp.Or(p.Wire, p.Player); wire != nil {
			m := wire.Luma(r.Held)
			r.Luma = &m
		}
		list[i] = r
	}
	return list
}

// held returns what the wire carries of s, and whether that is not s itself.
func held(p colorimetry.Plan, k *colorimetry.Coding, s colorimetry.Signal) (colorimetry.Signal, bool) {
	if p.Player == nil {
		return s, false
	}
	f, err := p.File(s, k)
	if err == nil {
		return s, false
	}
	return p.Emit(f), true
}

func codes(p colorimetry.Plan, s colorimetry.Signal) (c8, c10 [3]uint16, rgb [3]float64) {
	f := p.Map(s)
	r, g, b := s.RGB()
	return colorimetry.YCbCr8.Codes(f), colorimetry.YCbCr10.Codes(f), [3]float64{100 * r, 100 * g, 100 * b}
}

// nearest returns the line of the raster that is closest to the middle of a
// patch: one of field 1 if the patch has any, since a scope is set to it more
// easily, else any.
func nearest(r *timing.Raster, p pattern.Patch) timing.Line {
	y := (p.Y0 + p.Y1) / 2
	best, least := 0, math.Inf(1)
	for j, l := range r.Lines {
		at := r.Span(j).Y
		d := math.Abs(at - y)
		if l.Field != 1 || at < p.Y0 || at > p.Y1 {
			d += 1 // a picture height: comes after all that are
		}
		if d < least {
			best, least = j, d
		}
	}
	return r.Lines[best]
}
