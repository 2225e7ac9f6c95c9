package trace

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/internal/readings"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// A Target is what a signal should be: a pattern on a wire.
type Target struct {
	Wire     *composite.Wire
	Signal   string             // which of the wire's; "": the one with sync
	Plan     colorimetry.Plan   // sync and burst are those of its player, if it has one
	View     pattern.View       // that the readings are of
	Readings []readings.Reading // what the patches must be: Held
	Picture  *frame.Frame       // on [Lattice], 4:4:4, in units of the wire's family
}

// latticeStart is the first sample of a [Lattice], in samples after 0H: 8 us,
// before any picture.
const latticeStart = 108

// Lattice returns the raster on which a Target holds its picture: the lines of
// r, from before their picture to the end.
func Lattice(r *timing.Raster) *timing.Raster {
	l := *r
	l.Name = r.Name + " of a trace"
	l.Clock, l.Start, l.Free = timing.Int(13_500_000), timing.Int(latticeStart), false
	l.Width = int(math.Ceil(r.Scan.LinePeriod().Float64()*13.5)) - latticeStart
	return &l
}

// channel returns the index of the signal on the wire.
func (t *Target) channel() (int, error) {
	names := t.Wire.Channels()
	for i, n := range names {
		if strings.EqualFold(n, t.Signal) || t.Signal == "" && t.Wire.HasSync(i) {
			return i, nil
		}
	}
	return 0, fmt.Errorf("%s has no signal %q; it has %s (name another cable with --wire)", t.Wire.Name, t.Signal, strings.Join(names, ", "))
}

// kind is what can be measured of one signal of a wire.
type kind struct {
	name                string
	luma, chroma, sync  bool
	family, sender      *colorimetry.Family // of the levels; of sync and burst
	ire                 bool                // its levels are usual in IRE
	turns               bool                // V changes its sign from line to line
	level               func(readings.Level) colorimetry.Millivolt
	white, black, peaks colorimetry.Millivolt // peaks: the largest level, which tolerances refer to
}

// kind returns what the target's signal is like.
func (t *Target) kind() (kind, error) {
	c, err := t.channel()
	if err != nil {
		return kind{}, err
	}
	f := t.Wire.Family
	k := kind{name: t.Wire.Channels()[c], luma: true, sync: t.Wire.HasSync(c), family: f, sender: cmp.Or(t.Plan.Player, f),
		ire: t.Wire.Subcarrier() && f.Lines == 525, white: f.White, black: f.Black, peaks: f.White}
	k.level = func(l readings.Level) colorimetry.Millivolt { return l.Luma }
	switch {
	case t.Wire.Kind == composite.Composite:
		k.chroma = true
	case t.Wire.Kind == composite.YC && c == 1:
		k.luma, k.chroma = false, true
		k.level = func(readings.Level) colorimetry.Millivolt { return 0 }
	case t.Wire.Kind == composite.YPbPr && c > 0:
		k.white, k.black = 0, 0
		k.level = func(l readings.Level) colorimetry.Millivolt { return []colorimetry.Millivolt{0, l.PB, l.PR}[c] }
	case t.Wire.Kind == composite.RGB:
		k.level = func(l readings.Level) colorimetry.Millivolt { return []colorimetry.Millivolt{l.R, l.G, l.B}[c] }
	}
	k.turns = k.chroma && f.Lines == 625
	return k, nil
}

// want returns the level of a color and its subcarrier: mV, mV peak to peak and
// degrees.
func (k *kind) want(s colorimetry.Signal) (level, pp, degrees float64) {
	l := readings.On(k.family, s)
	if k.chroma {
		pp, degrees = float64(l.Chroma), l.Degrees
	}
	return float64(k.level(l)), pp, degrees
}
