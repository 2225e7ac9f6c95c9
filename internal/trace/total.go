package trace

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"backporch/internal/composite"
	"backporch/timing"
)

// report measures the lines and judges what it finds.
func (m *meter) report() (*Report, error) {
	r := &Report{
		Target: m.target, Signal: m.kind.name, IRE: m.kind.ire, Rate: m.t.Rate(), Points: len(m.t.MV),
		Scale: 1, Notes: m.notes, MHz: m.mhz, Bursts: m.bursts,
	}
	if m.inverted {
		r.Faults = append(r.Faults, Fault{"inverted", "The signal is upside down: sync goes up. Turn the scope's invert off, or look for swapped wires; the figures are of the signal turned over.", false})
	}
	scales := m.scales()
	rough := 1.0
	if len(scales) > 0 {
		rough = scales[0].by
	}
	if err := m.recognize(r, rough); err != nil {
		return nil, err
	}
	found := map[int][]sample{}
	if len(r.Bands) > 0 {
		found = m.signal.patches(m.shown(), &m.kind, m.target, m.list, m.layout, m.mhz)
	}
	if s, ok := m.brightest(found); ok {
		scales = append(scales, s)
	}
	var faults []Fault
	r.Scale, faults = named(scales, m.on.Termination)
	r.Faults = append(r.Faults, faults...)
	if note := disagreement(scales); note != "" && len(faults) == 0 && m.on.Termination == Once {
		r.Notes = append(r.Notes, note)
	}
	m.facts(r, found)
	r.reads(m.target, &m.kind, m.limits, found, r.Scale)
	r.gain()
	r.setup(m.target, &m.kind, found, r.Scale, m.limits.black)
	m.explain(r)
	return r, nil
}

// scales are how much higher than nominal sync and burst are.
func (m *meter) scales() (list []scale) {
	var depth, pp []float64
	for _, n := range m.lines {
		depth = append(depth, n.blank-n.tip)
		if n.burst.found {
			pp = append(pp, n.burst.pp)
		}
	}
	if m.kind.sync && m.t.Sync == nil {
		list = append(list, scale{"sync", median(depth) / -float64(m.kind.sender.Sync)})
	}
	if len(pp) > 0 {
		list = append(list, scale{"burst", median(pp) / float64(m.kind.sender.Burst)})
	}
	return list
}

// brightest is the scale of the brightest patch without color, or where there is
// none that of all colors.
func (m *meter) brightest(found map[int][]sample) (scale, bool) {
	best := -1
	for i, reading := range m.target.Readings {
		if len(found[i]) > 0 && neutral(reading) && reading.Held.Y > 0.3 && (best < 0 || reading.Held.Y > m.target.Readings[best].Held.Y) {
			best = i
		}
	}
	if best >= 0 && m.kind.luma && m.kind.white > 0 {
		want, _, _ := m.kind.want(m.target.Readings[best].Held)
		var v []float64
		for _, s := range found[best] {
			v = append(v, s.level)
		}
		return scale{m.target.Readings[best].Patch.Name, median(v) / want}, true
	}
	if m.kind.chroma && !m.kind.luma {
		var product complex128
		var power float64
		for i, reading := range m.target.Readings {
			_, pp, deg := m.kind.want(reading.Held)
			w := cmplx.Rect(pp, deg*math.Pi/180)
			for _, s := range found[i] {
				product += cmplx.Conj(w) * s.z
				power += float64(pp * pp)
			}
		}
		if power > 0 {
			return scale{"color", cmplx.Abs(product) / power}, true
		}
	}
	return scale{}, false
}

// recognize finds which row of the pattern each line is, and drops those without
// picture.
func (m *meter) recognize(r *Report, rough float64) error {
	m.list = m.target.candidates(&m.kind, m.layout)
	blank := len(m.list) - 1
	lonely := map[int]int{}
	for i, c := range m.list {
		for _, l := range c.lines {
			lonely[l.Number] = i
		}
	}
	var shown, strange []line
	for _, n := range m.lines {
		lone := -1
		if n.number > 0 {
			var ok bool
			if lone, ok = lonely[n.number]; !ok {
				m.left++
				continue
			}
		}
		n.match = m.signal.find(&n, &m.kind, m.layout, m.list, lone, rough)
		switch {
		case n.match.row == blank:
			m.left++
		case n.match.row < 0: // not recorded far enough to tell
		case n.match.shape > matching*float64(m.kind.peaks):
			strange = append(strange, n)
		default:
			shown = append(shown, n)
		}
	}
	r.Left = m.left
	r.At = m.t.Start*1e6 + m.lines[0].at
	switch {
	case len(shown)+len(strange) == 0:
		return errNoPicture
	case len(strange) > len(shown):
		m.lines, r.Lines = strange, len(strange)
		r.Faults = append(r.Faults, Fault{"other picture", fmt.Sprintf("What the lines show is no row of the pattern (the nearest is %.0f mV off, root mean square): name the pattern, the raster and the wire that are playing. Only sync and burst are judged.", strange[0].match.shape), false})
		return nil
	}
	m.lines, r.Lines = shown, len(shown)
	if n := len(strange); n > 0 {
		r.Left += n
		r.Notes = append(r.Notes, fmt.Sprintf("Lines that show another picture are left out: %d of %d. They may be data of the vertical interval.", n, n+len(shown)))
	}
	r.Bands = bands(shown, m.list)
	return nil
}

// shown are the lines whose patches can be measured: with a burst, if any has
// one.
func (m *meter) shown() []line {
	if !m.kind.chroma || !slices.ContainsFunc(m.lines, func(n line) bool { return n.burst.found }) {
		return m.lines
	}
	return slices.DeleteFunc(slices.Clone(m.lines), func(n line) bool { return !n.burst.found })
}

// facts adds the readings of sync, burst, times, white and black.
func (m *meter) facts(r *Report, found map[int][]sample) {
	var blank, depth, width, period, porch, begin, pp, from, cycles, sch []float64
	for i := range m.lines {
		n := &m.lines[i]
		blank = append(blank, n.blank)
		depth = append(depth, (n.blank-n.tip)/r.Scale)
		width = append(width, n.width)
		if n.next > 0 {
			period = append(period, n.next-n.at)
		}
		if t, ok := m.edge(n, n.at+m.layout.pictureTo(), -1); ok && n.next > 0 {
			porch = append(porch, n.next-t)
		}
		if t, ok := m.edge(n, n.at+m.layout.pictureFrom, +1); ok {
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
	r.fact("front porch", "us", m.layout.frontFor, l.porchLow, l.porchHigh, l.porchSource, porch)
	r.fact("picture begins", "us", m.layout.pictureFrom, l.startLow, l.startHigh, l.startSource, begin)
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
// above blanking.
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
	if level < least || spread > 0.1*level {
		return 0, false
	}
	return s.crosses(s.index(about), dir, n.blank+level/2)
}

// explain adds what a reader of the report should know.
func (m *meter) explain(r *Report) {
	for _, b := range r.Bands {
		if b.Sure == "cannot tell" {
			r.Notes = append(r.Notes, "Which line of the picture it is cannot be told: two rows of the pattern fit nearly alike. Say it with --line.")
			break
		}
	}
	if m.kind.chroma && m.bursts == 1 {
		r.Notes = append(r.Notes, "There is one burst alone, so the subcarrier is taken to be nominal on the scope's scale: 50 ppm of the scope's clock turn the last color of the line by 3 degrees. Record two lines or more.")
	}
	if len(r.Bands) > 0 && len(r.Patches) == 0 {
		r.Notes = append(r.Notes, "The line crosses no patch of one level that is wide enough to be measured.")
	}
}
