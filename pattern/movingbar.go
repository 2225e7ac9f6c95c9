package pattern

import (
	"cmp"
	"fmt"

	"backporch/colorimetry"
	"backporch/timing"
)

// MovingBar is upright bars that move by the same number of samples in every
// field, below bars that stand still.
type MovingBar struct {
	Step      int    // samples a field
	Fields    int    // until the picture repeats, even; bars stand Step*Fields samples apart
	Width     int    // of a bar, samples
	Direction string // right or left
	Level     float64
	Surround  float64 // per cent
}

// timed returns a band whose rows are all of(t) at field time t.
func timed(bottom float64, of func(t int) row) Band {
	return Band{Bottom: bottom, Uniform: true, Paint: func(dst []float64, c colorimetry.Component, x timing.Comb, y timing.Span, t int) {
		of(t).paint(dst, c, x, y, t)
	}}
}

// framesOf returns how many frames that many fields last: a whole number for
// every even number of fields.
func (v View) framesOf(fields int) int { return fields / v.Shown.Scan.Fields }

// fieldSeconds is the time of that many fields.
func (v View) fieldSeconds(fields int) float64 {
	return float64(fields) / v.Shown.Scan.FieldRate().Float64()
}

// leastGap is the samples that a bar and the gap beside it must have.
const leastGap = 4

func (p *MovingBar) check() error {
	pitch := p.Step * p.Fields
	switch {
	case p.Fields%2 != 0:
		return fmt.Errorf("fields: %d is odd, and a frame has two; use %d", p.Fields, p.Fields+1)
	case p.Width > pitch-leastGap && pitch >= 2*leastGap:
		return fmt.Errorf("width: bars of %d samples touch, %d fields of %d samples apart; use a width up to %d, or more fields", p.Width, p.Fields, p.Step, pitch-leastGap)
	case p.Width > pitch-leastGap:
		return fmt.Errorf("fields: %d fields of %d samples leave no room for a bar; use fields=%d or more", p.Fields, p.Step, (2*leastGap+p.Step-1)/p.Step/2*2+2)
	}
	return nil
}

// row returns the bars, moved by that many samples from the middle.
func (p *MovingBar) row(v View, moved int, bar, ground colorimetry.Signal) row {
	l, pitch := v.sampleGrid(), p.Step*p.Fields
	first := l.n/2 - p.Width/2 + moved
	for first > -2*pitch {
		first -= pitch
	}
	var tiles []tile
	for at := first; at < l.n+2*pitch; at += pitch {
		tiles = append(tiles, tile{X0: l.left(at), X1: l.left(at + p.Width), To: bar})
	}
	return v.tileRow(ground, tiles)
}

// Scene implements Pattern.
func (p *MovingBar) Scene(v View) (*Scene, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	bar, absent := v.reach(colorimetry.Gray(p.Level / 100))
	ground, absentGround := v.reach(colorimetry.Gray(p.Surround / 100))
	sign, l := 1, v.sampleGrid()
	if p.Direction == "left" {
		sign = -1
	}
	rows := make([]row, p.Fields)
	for t := range rows {
		rows[t] = p.row(v, sign*t*p.Step, bar, ground)
	}
	top := v.down(1.0 / 4)
	s := &Scene{Period: v.framesOf(p.Fields), Bands: []Band{
		rows[0].band(top),
		timed(endless, func(t int) row { return rows[t%len(rows)] }),
	}}
	first := l.n/2 - p.Width/2
	s.Patches = append(v.free(ink{bar, absent}, "bar that stands", l.left(first), v.down(0), l.left(first+p.Width), top),
		v.free(ink{ground, absentGround}, "ground beside it", l.left(first+p.Width), v.down(0), l.left(min(first+p.Step*p.Fields, l.n)), top)...)
	s.Patches = append(s.Patches, Patch{Name: "bars that move", Kind: Changing, Absent: cmp.Or(absent, absentGround),
		X0: v.across(0), Y0: top, X1: v.across(1), Y1: v.down(1), Want: bar, To: ground})
	s.Notes = []string{
		fmt.Sprintf("The lower bars move %d samples to the %s in every field (%.0f in a second) and stand where they began after %d fields, %d frames, %.3f s: play whole multiples of that for a loop without a jump.",
			p.Step, p.Direction, float64(p.Step)/v.fieldSeconds(1), p.Fields, s.Period, v.fieldSeconds(p.Fields)),
		"Seen by an eye that follows them, their sides are as sharp as those of the bars that stand. Double sides: fields or frames are shown twice or in the wrong order. A comb: fields were woven together. A tail: persistence of the phosphor.",
	}
	return s, nil
}

var movingBarEntries = []Entry{{
	Name: "moving-bar", Group: GroupTime,
	Use:     "even motion by field: judder, wrong order of fields, deinterlacing, persistence of the phosphor",
	Source:  "own design",
	Example: "backporch render moving-bar --seconds 10 -o movingbar.y4m",
	Still:   stillLines,
	New: func() (Pattern, []*Option) {
		p := &MovingBar{Step: 6, Fields: 20, Width: 24, Direction: "right", Level: 100, Surround: 20}
		return p, []*Option{
			whole("step", &p.Step, 1, 60, "samples", "movement in a field"),
			whole("fields", &p.Fields, 2, 240, "fields, even", "until the picture repeats; bars stand this many steps apart"),
			whole("width", &p.Width, leastGap, 400, "samples", "width of a bar"),
			choice("direction", &p.Direction, "where the bars go", "right", "left"),
			number("level", &p.Level, 0, 100, "per cent", "level of the bars"),
			number("surround", &p.Surround, 0, 100, "per cent", "level between the bars"),
		}
	},
}}
