package scope

import (
	"fmt"
	"math"
	"math/cmplx"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/composite"
)

// A target is where a color of the bars lies: mV along u and v of a [plane].
type target struct {
	name  string
	at    complex128
	burst bool
}

// colors of the bars, by their initials.
var barColors = []struct {
	name    string
	r, g, b float64
}{
	{"R", 1, 0, 0}, {"YL", 1, 1, 0}, {"G", 0, 1, 0}, {"CY", 0, 1, 1}, {"B", 0, 0, 1}, {"MG", 1, 0, 1},
}

// targets returns the targets of bars of 75 or 100 per cent, from the levels of
// the wire's family.
func targets(w *composite.Wire, percent int) (list []target) {
	a := float64(percent) / 100
	for _, c := range barColors {
		s := colorimetry.FromRGB(a*c.r, a*c.g, a*c.b)
		list = append(list, target{name: c.name, at: differencesOf(w, s)})
	}
	return list
}

// differencesOf returns where a signal lies on the plane of a wire.
func differencesOf(w *composite.Wire, s colorimetry.Signal) complex128 {
	if w.Kind == composite.RGB {
		scale := float64(w.Family.White - w.Family.Black)
		return complex(s.CB*scale, s.CR*scale)
	}
	u, v := w.Family.Vector(s)
	return complex(float64(u), float64(v))
}

// marks are all that has a name on the plane. On 625 lines V changes its sign
// from line to line, and every color has a second place, named in small
// letters.
func (s *setUp) marks() []target {
	list := targets(s.w.Wire, s.Targets)
	if !s.w.Wire.Subcarrier() {
		return list
	}
	f := s.w.Wire.Family
	peak := float64(f.Burst) / 2
	if f.Lines == 625 {
		for _, t := range list {
			list = append(list, target{name: strings.ToLower(t.name), at: cmplx.Conj(t.at)})
		}
		// ITU-R BT.470-6 table 2 item 2.16.
		return append(list, target{"burst", cmplx.Rect(peak, 135*math.Pi/180), true}, target{"burst", cmplx.Rect(peak, -135*math.Pi/180), true})
	}
	return append(list, target{"burst", complex(-peak, 0), true}) // SMPTE 170M clause 8.2
}

func (t target) degrees() float64 { return cmplx.Phase(t.at) * 180 / math.Pi }

// label is where the name stands: outside of the boxes, and beside the middle
// of the burst.
func (t target) label(full float64) complex128 {
	if t.burst {
		side := complex(0, -1)
		if imag(t.at) > 1e-9 {
			side = 1i
		}
		return t.at/2 + side*complex(full*0.05, 0)
	}
	r := cmplx.Abs(t.at)
	return t.at * complex((float64(r*(1+outerPart))+float64(full*0.055))/r, 0)
}

// Tolerances of the boxes: common practice. The standards give levels alone
// (SMPTE 170M table 1: 1 IRE).
const (
	innerWhite   = 0.025 // of white, peak to peak
	innerDegrees = 2.5
	outerPart    = 0.20 // of the amplitude
	outerDegrees = 10
)

// inner is the tolerance of the inner boxes as an amplitude, mV.
func (s *setUp) inner() float64 { return innerWhite * float64(s.w.Wire.Family.White) / 2 }

func toleranceNote(s *setUp) string {
	inner := s.level(s.inner())
	if s.w.Wire.Subcarrier() {
		inner = s.level(2*s.inner()) + " peak to peak"
	}
	return fmt.Sprintf("boxes: \u00b1%s and \u00b1%.1f\u00b0, \u00b1%.0f %% and \u00b1%d\u00b0 (common practice)", inner, innerDegrees, outerPart*100, outerDegrees)
}

// boxes draws the tolerances around the targets, and where the burst ends.
func (p *page) boxes(s *setUp, c plane) *strokeItem {
	k := &strokeItem{box: c.box, half: p.half(3, 2), c: mark}
	for _, t := range s.marks() {
		a, d := cmplx.Abs(t.at), t.degrees()
		if t.burst {
			// SMPTE 170M table 1: 1 IRE peak to peak; ITU-R BT.1700 Annex 1 Part B
			// table 2: 30 mV of 300.
			off := float64(colorimetry.IRE(1).Millivolt()) / 2
			if s.w.Wire.Family.Lines == 625 {
				off = 15
			}
			k.paths = append(k.paths, []point{c.polar(0, d), c.polar(a, d)}, c.arc(a-off, d-4, d+4), c.arc(a+off, d-4, d+4))
			continue
		}
		k.paths = append(k.paths, c.sector(a-s.inner(), a+s.inner(), d-innerDegrees, d+innerDegrees))
		k.paths = append(k.paths, c.corners(a*(1-outerPart), a*(1+outerPart), d-outerDegrees, d+outerDegrees)...)
	}
	return k
}

// sector outlines the part of a ring between two angles.
func (c plane) sector(from, to, low, high float64) []point {
	path := c.arc(from, low, high)
	back := c.arc(to, low, high)
	for i := len(back) - 1; i >= 0; i-- {
		path = append(path, back[i])
	}
	return append(path, path[0])
}

// corners marks the corners of such a part, so that wide boxes do not hide
// each other.
func (c plane) corners(from, to, low, high float64) (paths [][]point) {
	in, turn := (to-from)/5, (high-low)/5
	for _, a := range []float64{from, to} {
		for _, d := range []float64{low, high} {
			paths = append(paths, []point{
				c.polar(a+math.Copysign(in, (from+to)/2-a), d), c.polar(a, d),
				c.polar(a, d+math.Copysign(turn, (low+high)/2-d)),
			})
		}
	}
	return paths
}
