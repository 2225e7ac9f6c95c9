package trace

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/internal/readings"
	"backporch/internal/testtable"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// targetOf lays a pattern out on a wire, as a 10-bit file shows it.
func targetOf(t testing.TB, spec, raster, wire, signal string) Target {
	t.Helper()
	p, err := pattern.Parse(spec)
	require.NoError(t, err)
	r, w := timing.Lookup(raster), composite.Lookup(wire)
	require.NotNil(t, r)
	require.NotNil(t, w)
	m := frame.S422
	if w.Kind == composite.RGB {
		m = frame.S444
	}
	v := pattern.NewView(r, colorimetry.YCbCr10, m, pattern.Shaped)
	v.Plan = colorimetry.Plan{Wire: w.Family}
	s, err := p.Scene(v)
	require.NoError(t, err)
	f, err := pattern.Sample(s, Lattice(r), frame.S444, 0)
	require.NoError(t, err)
	return Target{Wire: w, Signal: signal, Plan: v.Plan, View: v, Readings: readings.Of(s, v, v.Plan), Picture: f}
}

// A take is how a signal is recorded.
type take struct {
	spec, raster, wire, signal string
	options                    composite.Options
	frame, first, lines        int     // of the color sequence from 0; lines from that one on
	before, after              float64 // us that the record begins before 0H of the first line, and goes on behind the last
	mhz                        float64
	gain, offset               float64 // of the cable, and mV of the scope
	noise                      float64 // mV, standard deviation
	bits                       int     // of a scope that shows 1.6 V; 0: not quantized
	ppm                        float64 // by which its clock is slow
}

// encode returns the samples of the wire's signals, and when the first was taken.
func (k take) encode(t testing.TB) (*composite.Wave, int) {
	t.Helper()
	target := targetOf(t, k.spec, k.raster, k.wire, "")
	p, err := pattern.Parse(k.spec)
	require.NoError(t, err)
	s, err := p.Scene(target.View)
	require.NoError(t, err)
	e, err := composite.NewEncoder(target.Wire, target.View.Shown.Scan, k.options)
	require.NoError(t, err)
	w, err := e.Encode(k.frame, 2, func(r *timing.Raster, n int) (*frame.Frame, error) { return pattern.Sample(s, r, frame.S444, 0) })
	require.NoError(t, err)
	target.Signal = k.signal
	c, err := target.channel()
	require.NoError(t, err)
	return w, c
}

// record is the signal as a scope takes it: between the samples of the encoder
// it is the sum of sines through them, sin(x)/x under a Blackman window.
func (k take) record(t testing.TB) *Trace {
	t.Helper()
	w, c := k.encode(t)
	return k.sample(w, c)
}

func (k take) sample(w *composite.Wave, channel int) *Trace {
	rate := w.Rate.Float64() / 1e6
	period := w.Scan.LinePeriod().Float64()
	zero := w.After(int64(w.Frame * w.Scan.Lines)).Float64() // of sample 0 after 0H of line 1
	from := float64(k.first-1)*period - k.before
	to := float64(k.first-1+k.lines)*period + k.after
	at := func(us float64) float64 {
		const half = 24
		x := us*rate - zero
		base := int(math.Floor(x))
		d := x - float64(base)
		v := w.Samples[channel]
		get := func(i int) float64 { return float64(v[max(0, min(i, len(v)-1))]) }
		if d == 0 {
			return get(base)
		}
		sum, weight := 0.0, 0.0
		for j := 1 - half; j <= half; j++ {
			u := d - float64(j)
			h := math.Sin(math.Pi*u) / (math.Pi * u) * (0.42 + 0.5*math.Cos(math.Pi*u/half) + 0.08*math.Cos(2*math.Pi*u/half))
			sum += h * get(base+j)
			weight += h
		}
		return sum / weight
	}
	return k.scope(from, to, at)
}

// scope takes a signal of microseconds between two times.
func (k take) scope(from, to float64, at func(us float64) float64) *Trace {
	if k.gain == 0 {
		k.gain = 1
	}
	random := rand.New(rand.NewPCG(1, 2))
	r := &Trace{Name: "CH1", Step: 1 / k.mhz / 1e6 * (1 - k.ppm*1e-6), Start: -k.before * 1e-6}
	for i := 0; ; i++ {
		us := from + float64(i)/k.mhz
		if us > to {
			return r
		}
		v := k.gain*at(us) + k.offset + k.noise*random.NormFloat64()
		if k.bits > 0 {
			q := 1600 / math.Exp2(float64(k.bits))
			v = math.Round(v/q) * q
		}
		r.MV = append(r.MV, v)
	}
}

// csv writes a trace in one of the forms that scopes have.
func csv(r *Trace, head string, row func(i int, s, v float64) string) string {
	var b strings.Builder
	b.WriteString(head)
	for i, v := range r.MV {
		b.WriteString(row(i, r.Start+float64(i)*r.Step, v/1000))
	}
	return b.String()
}

// fact returns one fact of a report.
func fact(t testing.TB, r *Report, name string) Fact {
	t.Helper()
	for _, f := range r.Facts {
		if f.Name == name {
			return f
		}
	}
	require.Fail(t, "no fact", "%s of %+v", name, r.Facts)
	return Fact{}
}

// drawnBars is a line of bars drawn from published figures alone, as a function
// of us after 0H of line 0: nothing of it is the encoder's. Bars are equal parts of the analog picture.
type drawnBars struct {
	period, fsc, syncWidth, sync float64
	burstFrom, cycles, burst     float64
	pictureFrom, porch, edge     float64
	luma, pp, degrees            []float64
	turns                        bool
}

func (d *drawnBars) at(us float64) float64 {
	n := math.Floor((us + 1) / d.period) // of the line; its sync begins a little before 0H
	t := us - n*d.period
	step := func(at, width float64) float64 {
		switch x := (t - at) / width; {
		case x <= -0.5:
			return 0
		case x >= 0.5:
			return 1
		default:
			return 0.5 + 0.5*math.Sin(math.Pi*x)
		}
	}
	plus := 1.0
	if d.turns && int(n)%2 != 0 {
		plus = -1
	}
	wt := 2 * math.Pi * d.fsc * us // +U is sin(wt)
	v := d.sync * (step(0, d.edge) - step(d.syncWidth, d.edge))
	angle := math.Pi
	if d.turns {
		angle = plus * 0.75 * math.Pi
	}
	length := d.cycles / d.fsc
	v += d.burst / 2 * (step(d.burstFrom, 0.5) - step(d.burstFrom+length, 0.5)) * math.Sin(wt+angle)
	width := (d.period - d.porch - d.pictureFrom) / float64(len(d.luma))
	for i := range d.luma {
		from := d.pictureFrom + float64(i)*width
		open := step(from, d.edge) - step(from+width, d.edge)
		color := step(from, 0.6) - step(from+width, 0.6)
		v += open*d.luma[i] + color*d.pp[i]/2*math.Sin(wt+plus*d.degrees[i]*math.Pi/180)
	}
	return v
}

// ntscBars are those of SMPTE 170M-2004: levels of Annex A table A.3, times of
// tables 1 and 2.
func ntscBars(t testing.TB) *drawnBars {
	d := &drawnBars{period: 572.0 / 9, fsc: 5 * 63.0 / 88, syncWidth: 4.7, sync: -40 / 0.14, burstFrom: 5.30794, cycles: 9, burst: 40 / 0.14,
		pictureFrom: 9.2, porch: 1.5, edge: 0.2372}
	for _, row := range testtable.Table(t, "smpte170m_75_bars.csv") {
		d.luma = append(d.luma, row.Float(t, "luma_IRE")/0.14)
		d.pp = append(d.pp, row.Float(t, "chroma_pp_IRE")/0.14)
		d.degrees = append(d.degrees, phaseOf(t, row, "phase_deg"))
	}
	return d
}

// palBars are 75/0/75/0 of ITU-R BT.470-6 and BT.1700: levels calculated from
// the published equations, times of BT.1700 Annex 1 Part B table 2.
func palBars(t testing.TB) *drawnBars {
	d := &drawnBars{period: 64, fsc: 4.43361875, syncWidth: 4.7, sync: -300, burstFrom: 5.6, cycles: 10, burst: 300,
		pictureFrom: 10.5, porch: 1.5, edge: 0.3388, turns: true}
	for _, row := range testtable.Table(t, "bars_composite_pal.csv") {
		if row.Text(t, "bars") == "75/0/75/0" {
			d.luma = append(d.luma, row.Float(t, "lum_mv"))
			d.pp = append(d.pp, row.Float(t, "chroma_pp_mv"))
			d.degrees = append(d.degrees, phaseOf(t, row, "phase_pos_deg"))
		}
	}
	return d
}

func phaseOf(t testing.TB, row testtable.Row, column string) float64 {
	if row.Text(t, column) == "" {
		return 0
	}
	return row.Float(t, column)
}

// show prints a report when a test fails.
func show(r *Report) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%+v\n%+v\n%+v\n", r.Bands, r.Gain, r.Setup)
	for _, f := range r.Facts {
		fmt.Fprintf(&b, "%-16s want %9.4f got %9.4f +- %.4f %s\n", f.Name, f.Want, f.Got, f.Spread, f.Verdict)
	}
	for _, p := range r.Patches {
		fmt.Fprintf(&b, "%-16s level %9.3f %9.3f  pp %9.3f %9.3f  deg %9.3f %9.3f\n", p.Name, p.Want, p.Got, p.WantPP, p.GotPP, p.WantDegrees, p.GotDegrees)
	}
	fmt.Fprintln(&b, r.Faults, r.Notes)
	return b.String()
}
