package trace

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"
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
