package compare

import (
	"fmt"
	"math"

	"backporch/colorimetry"
	"backporch/internal/tube"
)

// A Gun is which of the tube's guns are lit.
type Gun int

// The guns.
const (
	AllGuns Gun = iota
	RedOnly
	GreenOnly
	BlueOnly
)

var gunNames = [...]string{"all", "red", "green", "blue"}

func (g Gun) String() string { return gunNames[g] }

// index returns which of R', G', B' a single gun is.
func (g Gun) index() int { return int(g - RedOnly) }

// names of the bars that a gun lights alike when all is right: gray, the bar of
// its own color, and the two others that contain it. The first pair reads gain,
// the second phase.
var gunBars = [...][4]string{
	RedOnly:   {"gray", "red", "yellow", "magenta"},
	GreenOnly: {"gray", "green", "yellow", "cyan"},
	BlueOnly:  {"gray", "blue", "cyan", "magenta"},
}

// GunBars are the four bars of one gun: what it is driven with in each, parts
// of white, and the light that it gives, cd/m2 of white.
type GunBars struct {
	Names [4]string // gray, its own color, and the two that contain it
	Level float64   // what all four should be
	Drive [4]float64
	Light [4]float64
	bars  [4]placed
}

// Outer returns the mismatch of the pair that reads gain: the bar of the gun's
// own color over gray, in per cent of the level.
func (b *GunBars) Outer() float64 { return 100 * (b.Drive[1] - b.Drive[0]) / b.Level }

// Inner returns the mismatch of the pair that reads phase: the first of the two
// mixed bars over the second, in per cent of the level.
func (b *GunBars) Inner() float64 { return 100 * (b.Drive[2] - b.Drive[3]) / b.Level }

// OuterLight and InnerLight are the same in light, per cent of what the level
// gives on this set.
func (b *GunBars) OuterLight(s *tube.Set) float64 {
	return 100 * (b.Light[1] - b.Light[0]) / s.Curve.Light(b.Level)
}

// InnerLight is described at OuterLight.
func (b *GunBars) InnerLight(s *tube.Set) float64 {
	return 100 * (b.Light[2] - b.Light[3]) / s.Curve.Light(b.Level)
}

// Pair names the bars of a pair in the order of their difference.
func (b *GunBars) Pair(inner bool) string {
	if inner {
		return b.Names[2] + " - " + b.Names[3]
	}
	return b.Names[1] + " - " + b.Names[0]
}

// findGunBars looks for the four bars among patches: by their colors, not by
// their names. The error says which is missing, and which patterns have them.
func findGunBars(list []placed, gun Gun) (*GunBars, error) {
	b := &GunBars{Names: gunBars[gun]}
	const close = 1e-6
	own := gun.index()
	// The bar of the gun's own color gives the level, and what the others are
	// at when they are off.
	off := math.NaN()
	for _, p := range list {
		rgb := primaries(p.patch.Want)
		others := [2]float64{rgb[(own+1)%3], rgb[(own+2)%3]}
		if rgb[own] > others[0]+0.1 && math.Abs(others[0]-others[1]) < close && others[0] > -close {
			b.Level, off = rgb[own], others[0]
			break
		}
	}
	if math.IsNaN(off) {
		return nil, fmt.Errorf("it has no %s bar", gun)
	}
	for k, name := range b.Names {
		found := false
		for _, p := range list {
			if isBar(primaries(p.patch.Want), name, b.Level, off, close) {
				b.bars[k], found = p, true
				break
			}
		}
		if !found {
			return nil, fmt.Errorf("it has no %s of %s %%, the level of its %s bar", name, number(math.Round(100*b.Level)), gun)
		}
	}
	return b, nil
}

// barGuns are the guns that a bar lights.
var barGuns = map[string][3]bool{
	"gray": {true, true, true}, "red": {true, false, false}, "green": {false, true, false}, "blue": {false, false, true},
	"yellow": {true, true, false}, "cyan": {false, true, true}, "magenta": {true, false, true},
}

func isBar(rgb [3]float64, name string, on, off, close float64) bool {
	for i, lit := range barGuns[name] {
		want := off
		if lit {
			want = on
		}
		if math.Abs(rgb[i]-want) > close {
			return false
		}
	}
	return true
}

func primaries(s colorimetry.Signal) (rgb [3]float64) {
	rgb[0], rgb[1], rgb[2] = s.RGB()
	return rgb
}

// gunBars measures the four bars of a gun.
func (m *measurer) gunBars(found *GunBars, gun Gun) *GunBars {
	b := *found
	for k, p := range b.bars {
		r := m.read(p)
		b.Drive[k], b.Light[k] = r.Drive[gun.index()], r.Light[gun.index()]
	}
	return &b
}

// A Sensitivity is what a small error of the set does to the four bars of a
// gun, found with the signal itself: per cent of the level for 1 per cent of
// color gain, and for 1 degree of phase.
type Sensitivity struct {
	Gain, Phase           [4]float64
	OuterGain, OuterPhase float64
	InnerGain, InnerPhase float64
}

// ReadsPhase reports whether the second pair moves with phase at all. On 625
// lines it does not: the mean of two lines has the right hue.
func (s *Sensitivity) ReadsPhase() bool {
	const little = 0.01 // per cent a degree
	return math.Abs(s.InnerPhase) > little
}

// sensitivity takes central differences over 2 per cent and 1 degree: what they
// leave out is below 1e-4 of them. Phase has none on a set that averages it
// away.
func sensitivity(bars func(gain, phase float64) (*GunBars, error)) (*Sensitivity, error) {
	var s Sensitivity
	for k, d := range []struct{ gain, phase float64 }{{0.01, 0}, {0, 0.5}} {
		hi, err := bars(1+d.gain, d.phase)
		if err != nil {
			return nil, err
		}
		lo, err := bars(1-d.gain, -d.phase)
		if err != nil {
			return nil, err
		}
		span := 100*2*d.gain + 2*d.phase
		per := func(hi, lo float64) float64 { return (hi - lo) / span }
		if k == 0 {
			s.OuterGain, s.InnerGain = per(hi.Outer(), lo.Outer()), per(hi.Inner(), lo.Inner())
		} else {
			s.OuterPhase, s.InnerPhase = per(hi.Outer(), lo.Outer()), per(hi.Inner(), lo.Inner())
		}
		for i := range hi.Drive {
			v := 100 * per(hi.Drive[i], lo.Drive[i]) / hi.Level
			if k == 0 {
				s.Gain[i] = v
			} else {
				s.Phase[i] = v
			}
		}
	}
	return &s, nil
}

// WithBars names the patterns that have the four bars of every gun.
const WithBars = "bars-full, bars-eg1 and bars-eia189 have them"
