package meter

import (
	"fmt"
	"math"

	"backporch/colorimetry"
)

// PhosphorSet says whether the phosphors of a tube are those of a studio monitor
// for 625 lines by EBU Tech 3213-E (1975).
type PhosphorSet struct {
	Guns [3]Phosphor // red, green, blue
	// Skin is how far off a tone of skin comes out on a set with these phosphors
	// and its white at D65, in u, v of CIE 1960; the document allows .003.
	Skin     float64
	SkinOK   bool
	Inside   bool // all three phosphors are
	Document string
}

// A Phosphor is one primary beside its area of tolerance.
type Phosphor struct {
	XY     colorimetry.XY
	Inside bool
	// Edge is the distance to the nearest edge of the area in u', v', positive
	// inside and negative outside.
	Edge float64
}

// quad is an area of tolerance, its corners in order.
type quad [4]colorimetry.UV

// quads are those of EBU Tech 3213-E in u, v of CIE 1960. The document prints
// the corners in x, y too, and two of green's are not the same there (up to .002
// in x and .005 in y): u, v is taken, in which it states the skin tone as well.
func quads() [3]quad {
	return [3]quad{
		{{U: .461, V: .351}, {U: .461, V: .345}, {U: .431, V: .342}, {U: .431, V: .354}},
		{{U: .133, V: .377}, {U: .128, V: .363}, {U: .115, V: .375}, {U: .120, V: .379}},
		{{U: .186, V: .106}, {U: .180, V: .095}, {U: .166, V: .106}, {U: .173, V: .122}},
	}
}

// The skin tone of EBU Tech 3213-E, u .2221, v .3256, with .4404 of the
// luminance of a white at D65, u .1978, v .3122; and how far off it may be.
const skinLight, skinWithin = .4404, .003

func skin() (tone, white colorimetry.XY) {
	return colorimetry.UV{U: .2221, V: .3256}.XY1960(), colorimetry.UV{U: .1978, V: .3122}.XY1960()
}

// Phosphors holds the chromaticities of the three phosphors against EBU Tech
// 3213-E. Sets for 525 lines have other phosphors: of SMPTE C red and green lie
// inside and blue just outside.
func Phosphors(red, green, blue colorimetry.XY) (*PhosphorSet, error) {
	p := &PhosphorSet{Inside: true, Document: "EBU Tech 3213-E (1975), areas in u, v of CIE 1960"}
	all := [3]colorimetry.XY{red, green, blue}
	for i, name := range gunNames() {
		if c := all[i]; !possible(c) {
			return nil, fmt.Errorf("%s x %g, y %g is no color; x and y are above 0 and their sum below 1", name, c.X, c.Y)
		}
		p.Guns[i] = quads()[i].hold(all[i])
		p.Inside = p.Inside && p.Guns[i].Inside
	}
	if area(red, green, blue) < leastArea {
		return nil, fmt.Errorf("red, green and blue span no triangle; are they in their order?")
	}
	tone, white := skin()
	set := colorimetry.Primaries{Name: "these", R: red, G: green, B: blue}
	if err := set.CanMake(colorimetry.White{Name: "D65", XY: white}); err != nil {
		return nil, err
	}
	studio := colorimetry.Primaries{R: colorimetry.XY{X: .64, Y: .33}, G: colorimetry.XY{X: .29, Y: .60}, B: colorimetry.XY{X: .15, Y: .06}}
	c := tone.At(skinLight)
	guns := studio.Matrix(white).Inverse().Mul([3]float64{c.X, c.Y, c.Z})
	shown, _ := set.Matrix(white).XYZ(guns[0], guns[1], guns[2]).XY()
	a, b := shown.UV1960(), tone.UV1960()
	p.Skin = math.Hypot(a.U-b.U, a.V-b.V)
	p.SkinOK = p.Skin <= skinWithin
	return p, nil
}

// hold measures a point against the area. Distances are in u', v', where v' is
// 1.5 v; inside and outside are the same in both.
func (q quad) hold(c colorimetry.XY) Phosphor {
	at := c.UV1976()
	p := Phosphor{XY: c, Edge: math.Inf(1)}
	left, right := true, true
	for i := range q {
		a, b := q[i], q[(i+1)%len(q)]
		a.V, b.V = 1.5*a.V, 1.5*b.V
		du, dv := b.U-a.U, b.V-a.V
		pu, pv := at.U-a.U, at.V-a.V
		side := float64(du*pv) - float64(dv*pu)
		left, right = left && side >= 0, right && side <= 0
		along := (float64(du*pu) + float64(dv*pv)) / (float64(du*du) + float64(dv*dv))
		along = min(max(along, 0), 1)
		p.Edge = min(p.Edge, math.Hypot(pu-float64(along*du), pv-float64(along*dv)))
	}
	p.Inside = left || right
	if !p.Inside {
		p.Edge = -p.Edge
	}
	return p
}
