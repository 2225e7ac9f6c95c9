package pattern

import (
	"fmt"
	"math"

	"backporch/colorimetry"
	"backporch/timing"
)

// PulseBar is a line with a white bar, a sin-squared pulse and a modulated
// pulse, over the whole picture.
type PulseBar struct {
	Pulse     string  // T, 2T or 4T
	Amplitude float64 // per cent of white
}

// pulseTimes are the durations of a system, in ns: T, the half-amplitude
// duration of the shortest pulse, 1/(2 fc) for a band of 4 and of 5 MHz (C.
// Poynton, Digital Video and HDTV, 2003), and that of the modulated pulse
// (ITU-T J.63, 1990: 1.57 us ±50 ns at 525 lines, 12.5 T exactly there, and
// 2.00 us ±60 ns, 20 T, at 625).
func (v View) pulseTimes() (t, modulated float64) {
	if v.lines625() {
		return 100, 2000
	}
	return 125, 1562.5
}

// width is how many T the pulse is between half amplitudes; 0 if there is no
// such pulse.
func (p *PulseBar) width() float64 {
	switch p.Pulse {
	case "T":
		return 1
	case "2T":
		return 2
	case "4T":
		return 4
	}
	return 0
}

// sinSquared is a pulse of height 1 and half-amplitude duration 1 around 0:
//
//	p(u) = (1 + cos(pi u))/2, |u| <= 1
func sinSquared(u float64) float64 {
	if math.Abs(u) >= 1 {
		return 0
	}
	return 0.5 + float64(0.5*math.Cos(math.Pi*u))
}

// integrated is the step that the integral of sinSquared makes: 0 up to -1, 1
// from 1 on. It takes 0.964 of the pulse's half-amplitude duration from 10 to
// 90 % (calc).
func integrated(u float64) float64 {
	switch {
	case u <= -1:
		return 0
	case u >= 1:
		return 1
	}
	return 0.5 + u/2 + float64(math.Sin(math.Pi*u)/(2*math.Pi))
}

// A pulseLine is the signals of the line, on black.
type pulseLine struct {
	barFrom, barTo, edge         float64 // half-amplitude places and duration of the integrated pulse
	pulse, width                 float64 // place and half-amplitude duration
	modulated, wide              float64
	barColor, modulatedPeakColor colorimetry.Signal
}

// paint fills dst.
func (l *pulseLine) paint(dst []float64, c colorimetry.Component, x timing.Comb, _ timing.Span, _ int) {
	level, peak := l.barColor.Of(c), l.modulatedPeakColor.Of(c)
	for i := range dst {
		at := x.At(i)
		shape := integrated((at-l.barFrom)/l.edge) - integrated((at-l.barTo)/l.edge) + sinSquared((at-l.pulse)/l.width)
		dst[i] = float64(level*shape) + float64(peak*sinSquared((at-l.modulated)/l.wide))
	}
}

// modulatedPeak is the top of the modulated pulse of height 1: luma of a half
// and a subcarrier of amplitude a half, so that on the wire the pulse stands on
// a flat base line and reaches white. The subcarrier has the angle of the
// magenta bar (60.7 degrees): within the 60 ±5 degrees that ITU-T J.63 Annex I
// gives the subcarrier of line 330 (at 525 lines: own choice), and one at which
// the pulse stays inside the R'G'B' cube. At burst phase a file could not hold
// it: CB would be -0.573.
func (v View) modulatedPeak() colorimetry.Signal {
	f := v.composite()
	m := colorimetry.FromRGB(1, 0, 1)
	pp, _ := f.Phasor(m)
	k := float64((f.White - f.Black) / pp)
	return colorimetry.Signal{Y: 0.5, CB: k * m.CB, CR: k * m.CR}
}

// Places of the signals, in the units of ITU-T J.63 (1990) Annexes II (525
// lines: signals B2, B1, F) and I (625 lines, line 17: B2, B1, F).
var (
	places525 = pulsePlaces{0, 36, 44, 51}
	places625 = pulsePlaces{6, 11, 13, 16}
)

type pulsePlaces struct{ barFrom, barTo, pulse, modulated int64 }

// Scene implements Pattern.
func (p *PulseBar) Scene(v View) (*Scene, error) {
	multiple := p.width()
	if multiple == 0 {
		return nil, fmt.Errorf("pulse: %q is none of T, 2T, 4T", p.Pulse)
	}
	t, modulated := v.pulseTimes()
	at := places525
	if v.lines625() {
		at = places625
	}
	height := p.Amplitude / 100
	level, peak := colorimetry.Gray(height), v.modulatedPeak()
	peak = colorimetry.Signal{Y: height * peak.Y, CB: height * peak.CB, CR: height * peak.CR}
	l := &pulseLine{
		barFrom: v.insertion(at.barFrom), barTo: v.insertion(at.barTo), edge: v.ns(t),
		pulse: v.insertion(at.pulse), width: v.ns(multiple * t),
		modulated: v.insertion(at.modulated), wide: v.ns(modulated),
		barColor: level, modulatedPeakColor: peak,
	}
	y0, y1 := v.down(0), v.down(1)
	pulse := func(name string, x, width float64, to colorimetry.Signal) Patch {
		return Patch{Name: name, Kind: Pulse, X0: x - width, Y0: y0, X1: x + width, Y1: y1, Want: black, To: to}
	}
	patches := []Patch{
		area("bar", l.barFrom+l.edge, y0, l.barTo-l.edge, y1, level, ""),
		pulse(p.Pulse+" pulse", l.pulse, l.width, level),
		pulse("modulated pulse", l.modulated, l.wide, peak),
		area("base line", l.modulated+l.wide, y0, v.Shown.Picture().X1, y1, black, ""),
	}
	s := still([]Band{{Bottom: endless, Uniform: true, Paint: l.paint}}, patches...)
	var places []timing.Extent
	for _, q := range patches[:3] {
		places = append(places, timing.Extent{X0: q.X0, Y0: y0, X1: q.X1, Y1: y1})
	}
	s.Notes = v.outside("signal of the line", places)
	if null, nyquist := 1000/(multiple*t), v.Shown.Nyquist().Float64(); null > nyquist {
		s.Notes = append(s.Notes, fmt.Sprintf("The spectrum of the %s pulse ends at %.3g MHz, that of the raster's samples at %.3g MHz: it will ring and lose height. A longer pulse fits.", p.Pulse, null, nyquist))
	}
	return s, nil
}

var pulseBarEntries = []Entry{{
	Name: "pulse-bar", Group: GroupDetail,
	Use:     "transients on the oscilloscope: the pulse must be as high as the bar and free of ringing, the bar's top level, the base line under the modulated pulse straight (a dent: chroma gain; a wave: chroma delay)",
	Source:  "times and durations: ITU-T J.63 (1990) Annexes I and II, signals B1, B2 and F; sin-squared pulses and T: C. Poynton, Digital Video and HDTV (2003); over the full field: own design",
	Example: "backporch render pulse-bar --pulse 2T -o pulses.y4m",
	Still:   stillBright,
	New: func() (Pattern, []*Option) {
		p := &PulseBar{Pulse: "2T", Amplitude: 100}
		return p, []*Option{
			choice("pulse", &p.Pulse, "duration of the pulse between half amplitudes; T is 125 ns at 525 lines and 100 ns at 625", "T", "2T", "4T"),
			number("amplitude", &p.Amplitude, 10, 100, "per cent of white", "height of the bar and of both pulses"),
		}
	},
}}
