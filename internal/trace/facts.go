package trace

import (
	"fmt"
	"math"
	"math/cmplx"

	"backporch/internal/composite"
	"backporch/timing"
)

// narrower is the source of where the picture of a device begins and ends that is
// less wide than the standard's.
const narrower = "the raster's own width; tolerance " + practice

// extent returns where the picture begins and ends, us after 0H: as the standard
// has it, or where the raster is narrower as that has it.
func (m *meter) extent() (left, right float64) {
	shown := m.target.View.Shown.Shown()
	s := m.scan.System
	middle, perUS := s.Left.Add(s.Right).Float64()/2, s.HeightsPerMicrosecond().Float64()
	const hair = 0.02 // us: less is no other width
	left, right = m.layout.pictureFrom, m.layout.pictureTo()
	if x := middle + shown.X0/perUS; x > left+hair {
		left = x
	}
	if x := middle + shown.X1/perUS; x < s.Right.Float64()-hair { // a longer line ends later than its system's
		right = x
	}
	return left, right
}

// facts adds the readings of sync, burst, times, white and black.
func (m *meter) facts(r *Report, found map[int][]sample) {
	left, right := m.extent()
	var blank, depth, width, period, porch, begin, pp, from, cycles, sch []float64
	for i := range m.lines {
		n := &m.lines[i]
		blank = append(blank, n.blank)
		depth = append(depth, (n.blank-n.tip)/r.Scale)
		width = append(width, n.width)
		if n.next > 0 {
			period = append(period, n.next-n.at)
		}
		if t, ok := m.edge(n, n.at+right, -1); ok && n.next > 0 {
			porch = append(porch, n.next-t)
		}
		if t, ok := m.edge(n, n.at+left, +1); ok {
			begin = append(begin, t-n.at)
		}
		if b := n.burst; b.found {
			pp = append(pp, b.pp/r.Scale)
			from = append(from, b.from)
			cycles = append(cycles, (b.to-b.from)*m.mhz)
			sch = append(sch, cmplx.Phase(b.z*cmplx.Rect(1, 2*math.Pi*m.mhz*n.at))*180/math.Pi)
		}
	}
	r.Blanking, _ = mean(blank)
	if m.inverted {
		r.Blanking = -r.Blanking
	}
	l, own := m.limits, m.kind.sync && m.t.Sync == nil
	if own {
		r.fact("sync depth", "mV", -float64(m.kind.sender.Sync), l.sync, l.sync, l.syncSource, depth)
		r.fact("sync width", "us", m.layout.syncEnd, l.syncWidth, l.syncWidth, l.timeSource, width)
	}
	r.fact("line period", "us", m.layout.period, 0.001*m.layout.period, 0.001*m.layout.period, "tolerance "+practice, period)
	if right < m.layout.pictureTo() {
		l.porchLow, l.porchHigh, l.porchSource = 0.1, 0.1, narrower
	}
	if left > m.layout.pictureFrom {
		l.startLow, l.startHigh, l.startSource = 0.1, 0.1, narrower
	}
	r.fact("front porch", "us", m.layout.period-right, l.porchLow, l.porchHigh, l.porchSource, porch)
	r.fact("picture begins", "us", left, l.startLow, l.startHigh, l.startSource, begin)
	if m.kind.chroma {
		m.burstFacts(r, pp, from, cycles, sch)
	}
	m.levelFacts(r, found)
}

// burstFacts adds what is known of the burst, or that there is none.
func (m *meter) burstFacts(r *Report, pp, from, cycles, sch []float64) {
	l := m.limits
	want := float64(m.kind.sender.Burst)
	if len(pp) == 0 {
		pp = []float64{0}
		r.Notes = append(r.Notes, "There is no burst: the source sends no color, or too little for a set to lock to. No phase can be told.")
	}
	r.fact("burst p-p", "mV", want, l.burst, l.burst, l.burstSource, pp)
	r.fact("burst start", "us", m.layout.burstFrom, l.burstStart, l.burstStart, l.burstStartSource, from)
	count := 9.0
	if m.scan.System == timing.System625 {
		count = 10
	}
	r.fact("burst length", "cycles", count, 1, 1, l.burstLengthSource, cycles)
	if m.kind.turns {
		if swing, ok := m.swing(); ok {
			r.fact("burst swing", "deg", 90, 5, 5, "ITU-R BT.470-6 table 2; tolerance "+practice, []float64{swing})
		}
	}
	if m.bursts > 1 {
		for _, f := range r.Facts {
			if f.Name == "line period" {
				r.fact("subcarrier", "cycles a line", m.scan.Cycles.Float64(), 0.01, 0.01, "tolerance "+practice, []float64{m.mhz * f.Got})
			}
		}
	}
	// The first zero crossing of the burst's carrier and 0H belong together on 525
	// interlaced lines alone; no monitor cares.
	if m.scan == timing.Scan525i && len(sch) > 0 && m.target.Wire.Kind == composite.Composite {
		var sum complex128
		for _, d := range sch {
			sum += cmplx.Rect(1, 2*d*math.Pi/180)
		}
		got := cmplx.Phase(sum) * 90 / math.Pi
		r.Facts = append(r.Facts, Fact{Name: "SC/H", Unit: "deg", Got: got, Low: -10, High: 10, Count: len(sch), Source: "SMPTE 170M-2004 clause 13.2; no monitor depends on it"})
	}
}

// swing is the angle between the bursts of alternate lines.
func (m *meter) swing() (float64, bool) {
	minus, known := vSigns(m.lines)
	if !known {
		return 0, false
	}
	var sum [2]complex128
	for i, n := range m.lines {
		if n.burst.found {
			k := 0
			if minus[i] {
				k = 1
			}
			sum[k] += n.burst.z / complex(cmplx.Abs(n.burst.z), 0)
		}
	}
	return math.Abs(cmplx.Phase(sum[0]*cmplx.Conj(sum[1]))) * 180 / math.Pi, true
}

// levelFacts adds the brightest patch without color, and black.
func (m *meter) levelFacts(r *Report, found map[int][]sample) {
	if !m.kind.luma || m.kind.white == 0 {
		return
	}
	bright := -1
	var black []float64
	for i, reading := range m.target.Readings {
		if len(found[i]) == 0 || !neutral(reading) {
			continue
		}
		if y := reading.Held.Y; y > 0.3 && (bright < 0 || y > m.target.Readings[bright].Held.Y) {
			bright = i
		}
		if math.Abs(reading.Held.Y) < 1e-6 {
			for _, s := range found[i] {
				black = append(black, s.level/r.Scale)
			}
		}
	}
	if bright >= 0 {
		var v []float64
		for _, s := range found[bright] {
			v = append(v, s.level/r.Scale)
		}
		want, _, _ := m.kind.want(m.target.Readings[bright].Held)
		name := "white"
		if y := m.target.Readings[bright].Held.Y; math.Abs(y-1) > 1e-6 {
			name = fmt.Sprintf("white of %.0f %%", 100*y)
		}
		r.fact(name, "mV", want, m.limits.white, m.limits.white, m.limits.whiteSource, v)
	}
	r.fact("black", "mV", float64(m.kind.black), m.limits.black, m.limits.black, m.limits.blackSource, black)
}

// edge finds the half-way point of the edge of the picture about a time; dir is
// +1 where the picture begins. It must be a step to something flat that is well
// above blanking, and not mostly color, whose own edge would move the point.
func (m *meter) edge(n *line, about, dir float64) (float64, bool) {
	s := m.signal
	if !m.kind.luma || !s.holds(about-1.5, about+1.5) {
		return 0, false
	}
	from, to := about+0.5, about+1.3
	if dir < 0 {
		from, to = about-1.3, about-0.5
	}
	flat := s.between(s.smooth, from, to)
	if len(flat) < 3 {
		return 0, false
	}
	level, spread := mean(flat)
	level -= n.blank
	const least = 43 // mV: 6 IRE at the nominal scale; setup alone is seen
	if level < least || spread > 0.1*level || s.envelope((from+to)/2) > 2*level {
		return 0, false
	}
	return s.crosses(s.index(about), dir, n.blank+level/2)
}
