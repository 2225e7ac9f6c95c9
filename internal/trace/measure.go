package trace

import (
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"backporch/timing"
)

// Conditions are what is known of a measurement besides the trace. The zero
// value is a cable that ends in 75 ohm, and lines that are to be found.
type Conditions struct {
	Line        int // of the frame: the first whole one of the record; where this has a field sync, the one to measure alone; 0: not known
	Termination Termination
}

// Measure measures a trace against what it should be. Of several targets, such
// as a wire with setup and without, the one that fits best is kept.
func Measure(t *Trace, on Conditions, targets ...Target) (*Report, error) {
	if len(targets) == 0 {
		panic("trace: Measure without a target")
	}
	var best *Report
	least := math.Inf(1)
	for i := range targets {
		m, err := newMeter(t, on, &targets[i])
		if err != nil {
			return nil, err
		}
		r, err := m.report()
		if err != nil {
			return nil, err
		}
		if miss := r.miss(); best == nil || miss < least {
			best, least = r, miss
		}
	}
	return best, nil
}

// miss is how far the patches are from what they should be, root mean square.
func (r *Report) miss() float64 {
	sum, n := 0.0, 0.0
	for _, p := range r.Patches {
		if p.HasLevel {
			sum, n = sum+float64((p.Got-p.Want)*(p.Got-p.Want)), n+1
		}
		if p.HasPP {
			d := cmplx.Abs(cmplx.Rect(p.GotPP, p.GotDegrees*math.Pi/180)-cmplx.Rect(p.WantPP, p.WantDegrees*math.Pi/180)) / 2
			sum, n = sum+float64(d*d), n+1
		}
	}
	if n == 0 {
		return math.Inf(1)
	}
	return math.Sqrt(sum / n)
}

// A meter is one measurement under way.
type meter struct {
	t      *Trace
	on     Conditions
	target *Target
	scan   *timing.Scan
	kind   kind
	layout layout
	limits limits

	signal   *signal
	inverted bool
	lines    []line
	left     int
	mhz      float64
	bursts   int
	list     []candidate
	notes    []string
}

// newMeter finds the lines of a trace.
func newMeter(t *Trace, on Conditions, target *Target) (*meter, error) {
	m := &meter{t: t, target: target, scan: target.View.Shown.Scan, notes: slices.Clone(t.Notes), on: on}
	var err error
	if m.kind, err = target.kind(); err != nil {
		return nil, err
	}
	m.layout = layoutOf(m.scan)
	m.limits = limitsOf(&m.kind, m.scan.System)
	least := 13.5
	what := m.target.Wire.Name
	if m.kind.chroma {
		least = 4 * m.layout.fsc
		what = "a subcarrier"
	}
	if mhz := t.Rate() / 1e6; mhz < 0.999*least {
		return nil, fmt.Errorf("the record has %.3g million samples a second, and %s needs at least %.1f to be measured; set the scope to a shorter time a division or to more memory, and turn peak detection off", mhz, what, least)
	}
	m.signal = newSignal(t.MV, t.Step*1e6, m.layout.fsc)
	if err := m.findLines(); err != nil {
		return nil, err
	}
	return m, m.number(on.Line)
}

// findLines finds sync, in the signal or beside it.
func (m *meter) findLines() error {
	from := m.signal
	if m.t.Sync != nil {
		from = newSignal(m.t.Sync, m.t.Step*1e6, m.layout.fsc)
	} else if !m.kind.sync {
		return fmt.Errorf("%s of %s carries no sync to measure from; record the signal with sync beside it, and name its column with --sync-channel", m.kind.name, m.target.Wire.Name)
	}
	pulses := from.findPulses()
	if len(pulses) == 0 {
		up := *from
		up.v, up.smooth = negative(from.v), negative(from.smooth)
		if pulses = up.findPulses(); len(pulses) > 0 && m.t.Sync == nil {
			m.inverted, m.signal = true, &up
		}
	}
	if len(pulses) == 0 {
		return fmt.Errorf("no line sync is found: no pulse of about 4.7 us that goes to the lowest level. %s", m.nosync())
	}
	if err := m.checkPeriod(pulses); err != nil {
		return err
	}
	if m.inverted {
		from = m.signal
	}
	m.lines, m.left = linesOf(pulses, m.scan, m.layout)
	if len(m.lines) > 0 {
		from.ending(&m.lines[len(m.lines)-1], m.layout)
	}
	m.lines = m.signal.whole(m.lines, m.layout)
	if len(m.lines) == 0 {
		return fmt.Errorf("there is no whole line in the record: it must begin before the leading edge of sync and go on for a line, %.1f us; move the trigger point to the left, or choose more time a division", m.layout.period)
	}
	return nil
}

// nosync says what may be the matter.
func (m *meter) nosync() string {
	span := m.signal.end()
	if span < m.layout.period {
		return fmt.Sprintf("The record lasts %.1f us and a line %.1f; record at least one whole line, from before its sync on.", span, m.layout.period)
	}
	return "Is it the right channel, is something connected, and does the source send a picture? The signal of a cable without sync needs --sync-channel."
}

func negative(v []float64) []float64 {
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = -x
	}
	return out
}

// checkPeriod refuses lines that are those of the other system.
func (m *meter) checkPeriod(pulses []pulse) error {
	var periods []float64
	for i := 1; i < len(pulses); i++ {
		if d := pulses[i].at - pulses[i-1].at; pulses[i].kind == linePulse && pulses[i-1].kind == linePulse && d > 50 && d < 80 {
			periods = append(periods, d)
		}
	}
	if len(periods) == 0 {
		return nil
	}
	got, other, name := median(periods), timing.Scan625i, "576i"
	if m.scan.System == timing.System625 {
		other, name = timing.Scan525i, "480i"
	}
	want, wrong := m.scan.LinePeriod().Float64(), other.LinePeriod().Float64()
	if math.Abs(got-wrong) < math.Abs(got-want) && math.Abs(got-wrong) < 0.1 {
		return fmt.Errorf("a line lasts %.2f us, which is one of %s, and the raster has %.2f; name the one that plays, such as --raster %s", got, other.System.Name, want, name)
	}
	return nil
}

// number measures each line, and numbers lines from the first one.
func (m *meter) number(first int) error {
	for i := range m.lines {
		m.signal.levels(&m.lines[i], m.layout)
	}
	if m.kind.chroma {
		m.findBursts()
		if err := m.checkSubcarrier(); err != nil {
			return err
		}
	}
	switch {
	case first == 0:
	case first > m.scan.Lines:
		return fmt.Errorf("--line %d: %s has lines 1 to %d", first, m.scan.Name, m.scan.Lines)
	case m.lines[0].number > 0:
		all := m.lines
		m.lines = slices.DeleteFunc(slices.Clone(all), func(n line) bool { return n.number != first })
		if len(m.lines) == 0 {
			return fmt.Errorf("--line %d is not in the record, which by its field sync has lines %d to %d; leave --line out to measure these", first, all[0].number, all[len(all)-1].number)
		}
	default:
		zero := m.lines[0].at
		for i := range m.lines {
			m.lines[i].number = numberAt(float64(first)+(m.lines[i].at-zero)/m.layout.period, m.scan.Lines)
		}
	}
	return nil
}

// findBursts finds the bursts, then their frequency, and with it their phases.
func (m *meter) findBursts() {
	for i := range m.lines {
		n := &m.lines[i]
		n.burst = m.signal.findBurst(n, m.layout, m.depth(n), m.layout.fsc)
	}
	m.mhz, m.bursts = frequency(m.lines, m.layout.fsc, m.kind.turns)
	for i := range m.lines {
		n := &m.lines[i]
		if !n.burst.found {
			continue
		}
		if tone, ok := m.signal.fitTone(n.at+n.burst.from+0.35, n.at+n.burst.to-0.35, m.mhz); ok {
			n.burst.z, n.burst.pp = tone.z, 2*cmplx.Abs(tone.z)
		}
		m.signal.levels(n, m.layout)
	}
}

// depth is what a burst is compared with to tell it from noise: sync, or where
// the signal has none a third of the nominal.
func (m *meter) depth(n *line) float64 {
	if m.kind.sync && m.t.Sync == nil {
		return n.blank - n.tip
	}
	return float64(m.kind.sender.Burst) / 3
}

// checkSubcarrier refuses a record whose burst is that of the other system.
func (m *meter) checkSubcarrier() error {
	other, name := timing.System625, "576i"
	if m.scan.System == timing.System625 {
		other, name = timing.System525, "480i"
	}
	n := &m.lines[0]
	// Where both have their burst; two cycles of beat tell them apart.
	from, to := n.at+5.9, n.at+7.5
	own, ok := m.signal.fitTone(from, to, m.layout.fsc)
	wrong, ok2 := m.signal.fitTone(from, to, other.Subcarrier.Float64()/1e6)
	if ok && ok2 && 2*cmplx.Abs(wrong.z) > 0.3*m.depth(n) && cmplx.Abs(wrong.z) > 1.6*cmplx.Abs(own.z) {
		return fmt.Errorf("the burst is that of %s (%.3f MHz), and the raster is one of %s; name the one that plays, such as --raster %s", other.Name, other.Subcarrier.Float64()/1e6, m.scan.System.Name, name)
	}
	return nil
}

// errNoPicture is a record of the vertical interval alone.
var errNoPicture = errors.New("no line of the record shows a picture: they are lines of the vertical interval, or the source sends none; trigger on a picture line, such as the one that readings names")
