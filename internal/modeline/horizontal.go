package modeline

import (
	"math"

	"backporch/timing"
)

// place is a line's sync in the time of the 720 samples at 13.5 MHz.
type place struct {
	start timing.Ratio // sample 0 after 0H, samples
	sync  timing.Ratio // microseconds
}

// place returns that of a system. CEA-861 (secondary): 720 739 801 858 and 720
// 732 795 864 at 13.5 MHz. BT.601-5 table 2: sample 0 is 122 and 132 samples
// after 0H. So on 625 lines the two agree, and the sync of 4.667 us lies within
// 4.7 +- 0.2 (ITU-R BT.1700 Annex 1 Part B table 2); on 525 lines that of
// CEA-861, 4.593 us, is not the 4.70 +- 0.10 of SMPTE 170M table 2.
func (p Placing) place(r *timing.Raster) place {
	us := func(samples int64) timing.Ratio { return timing.Int(samples).Mul(timing.R(2, 27)) }
	switch {
	case r.Scan.System == timing.System625:
		return place{r.Start, us(63)}
	case p == BT601:
		return place{r.Start, timing.R(47, 10)}
	default:
		return place{timing.Int(119), us(62)}
	}
}

const (
	// stretch is by how much, in thousandths, the picture may become wider or
	// narrower so that the rates come out: less than the width control of any
	// set is set to (common practice).
	stretch = 5
	// alike is the difference of line rates, in parts of a million, that no
	// crystal of a display clock is good for (common practice).
	alike = 10
)

// horizontal chooses the total and the clock. The clock comes in steps, so the
// total makes up for them: the one whose line rate is nearest, and among those
// that are alike the one whose picture is nearest to its width.
func (m *Mode) horizontal(width int) {
	r := m.Raster
	ideal := r.SamplesPerLine().Mul(timing.R(int64(width), int64(r.Width)))
	rate := r.Scan.LineRate()
	best, off, wide := 0, math.Inf(1), math.Inf(1)
	low, high := ideal.Mul(timing.R(1000-stretch, 1000)), ideal.Mul(timing.R(1000+stretch, 1000))
	for total := int(low.Ceil()); total <= int(high.Float64()); total++ {
		t := *m
		t.Clock, t.H = steps(total, rate), Axis{Active: total}
		ppm, w := max(math.Abs(t.Deviation()), alike), math.Abs(float64(total)-ideal.Float64())
		if ppm < off || ppm == off && w < wide {
			best, off, wide = total, ppm, w
		}
	}
	m.Clock = steps(best, rate)

	// The middle of the picture keeps its time after 0H; what the line is longer
	// or shorter goes to both porches.
	p := m.Placing.place(r)
	middle := p.start.Add(timing.R(int64(r.Width), 2)).Div(r.Clock)
	start := nearest(middle.Mul(m.Hz()).Sub(timing.R(int64(width), 2)))
	sync := nearest(p.sync.Mul(m.Hz()).Div(timing.Int(1_000_000)))
	m.H = Axis{Active: width, Front: best - width - start, Sync: sync, Back: start - sync}
}

// steps returns the clock, in units of ClockStep, for so many pixels a line.
func steps(total int, rate timing.Ratio) int {
	return nearest(rate.Mul(timing.Int(int64(total))).Div(timing.Int(ClockStep)))
}

// nearest rounds half up.
func nearest(a timing.Ratio) int { return int(a.Sub(timing.R(1, 2)).Ceil()) }

// Late returns by how many microseconds the middle of the picture comes after
// that of a studio signal, ITU-R BT.601: below 0 it stands further left.
func (m *Mode) Late() timing.Ratio {
	r := m.Raster
	studio := r.TimeOf(timing.R(int64(r.Width), 2))
	start := m.H.Sync + m.H.Back
	return m.Microseconds(start).Add(m.Microseconds(m.H.Active).Div(timing.Int(2))).Sub(studio)
}

// SyncLimits returns the least and the greatest width of line sync, in
// microseconds: 4.70 +- 0.10 on 525 lines (SMPTE 170M table 2), 4.7 +- 0.2 on
// 625 (ITU-R BT.1700 Annex 1 Part B table 2).
func (m *Mode) SyncLimits() (least, most float64, source string) {
	if m.Raster.Scan.System == timing.System625 {
		return 4.5, 4.9, "ITU-R BT.1700"
	}
	return 4.6, 4.8, "SMPTE 170M"
}
