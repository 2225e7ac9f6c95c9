package trace

import (
	"math"
	"math/cmplx"

	"backporch/colorimetry"
	"backporch/timing"
)

// limits are the tolerances of a signal.
type limits struct {
	sync, burst, white, black, level, pp float64 // mV
	degrees                              float64
	syncSource, burstSource, whiteSource string
	blackSource                          string
	syncWidth, porchLow, porchHigh       float64 // us
	startLow, startHigh, burstStart      float64
	timeSource, porchSource, startSource string
	burstStartSource, burstLengthSource  string
}

const practice = "common practice"

// limitsOf returns the tolerances of a signal on a system. SMPTE 170M-2004 and
// ITU-R BT.1700 state them for composite; for the rest a bench takes 2 % of white
// and what the inner boxes of a vectorscope have: 2.5 % of white, 2.5 degrees.
func limitsOf(k *kind, s *timing.System) limits {
	white := float64(k.peaks)
	m := limits{
		sync: 0.0333 * 300, burst: 30, white: 0.02 * white, black: 0.02 * white, level: 0.02 * white,
		pp: 0.025 * white, degrees: 2.5,
		syncSource: practice, burstSource: "ITU-R BT.1700 Annex 1 Part B table 2", whiteSource: practice, blackSource: practice,
	}
	if s == timing.System525 {
		m.syncWidth, m.porchLow, m.porchHigh, m.startLow, m.startHigh = 0.1, 0.1, 0.1, 0.1, 0.2
		m.timeSource, m.porchSource, m.startSource = "SMPTE 170M-2004 table 2", "SMPTE 170M-2004 table 2", "SMPTE 170M-2004 table 2"
		m.burstStart, m.burstStartSource = 0.1, "19 cycles, SMPTE 170M-2004 table 2; tolerance common practice"
		m.burstLengthSource = "SMPTE 170M-2004 table 2"
	} else {
		m.syncWidth, m.porchLow, m.porchHigh, m.startLow, m.startHigh = 0.2, 0, 0.3, 0.3, 0.3
		m.timeSource, m.porchSource = "ITU-R BT.1700 Annex 1 Part B table 2", "ITU-R BT.470-6 table 1-1"
		m.startSource = "ITU-R BT.1700 Annex 1 Part B table 2; tolerance common practice"
		m.burstStart, m.burstStartSource = 0.1, "ITU-R BT.1700 Annex 1 Part B table 2"
		m.burstLengthSource = "ITU-R BT.1700 Annex 1 Part B table 2"
	}
	if k.ire {
		// One IRE for sync, burst, white and setup; the same for all else on the
		// line is common practice.
		one := float64(colorimetry.IRE(1).Millivolt())
		m.sync, m.burst, m.white, m.black, m.level = one, one, one, one, one
		m.syncSource, m.burstSource, m.whiteSource, m.blackSource = "SMPTE 170M-2004 table 1", "SMPTE 170M-2004 table 1", "SMPTE 170M-2004 table 1", "SMPTE 170M-2004 table 1"
		if k.black == 0 {
			m.blackSource = "ITU-R BT.1700 Annex 1 Part A note 1; tolerance common practice"
		}
	}
	return m
}

// fact adds a reading, judged against want-low to want+high.
func (r *Report) fact(name, unit string, want, low, high float64, source string, got []float64) {
	if len(got) == 0 {
		return
	}
	f := Fact{Name: name, Unit: unit, Want: want, Low: want - low, High: want + high, Count: len(got), Source: source}
	f.Got, f.Spread = mean(got)
	f.Verdict = verdict(f.Got, f.Low, f.High)
	r.Facts = append(r.Facts, f)
}

// reads adds the patches that were found, judged.
func (r *Report) reads(t *Target, k *kind, m limits, found map[int][]sample, scale float64) {
	for i, reading := range t.Readings {
		got := found[i]
		if len(got) == 0 {
			continue
		}
		p := Patch{Name: reading.Patch.Name, Count: len(got), HasLevel: k.luma, HasPP: k.chroma}
		p.Want, p.WantPP, p.WantDegrees = k.want(reading.Held)
		var level, pp []float64
		var sum complex128
		for _, s := range got {
			level = append(level, s.level/scale)
			pp = append(pp, cmplx.Abs(s.z)/scale)
			sum += s.z
		}
		sum /= complex(float64(len(got))*scale, 0)
		if k.luma {
			p.Got, p.Spread = mean(level)
			p.Level = verdict(p.Got, p.Want-m.level, p.Want+m.level)
		}
		if k.chroma {
			_, p.SpreadPP = mean(pp)
			p.GotPP = cmplx.Abs(sum)
			p.Chroma = verdict(p.GotPP, p.WantPP-m.pp, p.WantPP+m.pp)
			// The angle of nothing means nothing.
			if p.Colored = p.WantPP > 2*m.pp && p.GotPP > 2*m.pp; p.Colored {
				p.GotDegrees = turn(cmplx.Phase(sum) * 180 / math.Pi)
				off := wrap(p.GotDegrees - p.WantDegrees)
				p.Phase = verdict(off, -m.degrees, m.degrees)
			}
		}
		r.Patches = append(r.Patches, p)
	}
}

// gain finds what the source does to all patches alike, by least squares.
func (r *Report) gain() {
	var n, sw, sg, sww, swg float64
	var product complex128
	var power float64
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range r.Patches {
		if p.HasLevel {
			n, sw, sg, sww, swg = n+1, sw+p.Want, sg+p.Got, sww+float64(p.Want*p.Want), swg+float64(p.Want*p.Got)
			low, high = min(low, p.Want), max(high, p.Want)
		}
		if p.Colored {
			w := cmplx.Rect(p.WantPP, p.WantDegrees*math.Pi/180)
			product += cmplx.Conj(w) * cmplx.Rect(p.GotPP, p.GotDegrees*math.Pi/180)
			power += float64(p.WantPP * p.WantPP)
		}
	}
	if det := n*sww - sw*sw; high-low > 100 && det > 0 { // mV: a seventh of white
		r.Gain.Luma = (n*swg - sw*sg) / det
		r.Gain.Offset = (sg - r.Gain.Luma*sw) / n
		r.Gain.LumaOK = true
	}
	if power > 0 {
		z := product / complex(power, 0)
		r.Gain.Chroma, r.Gain.Phase, r.Gain.ChromaOK = cmplx.Abs(z), cmplx.Phase(z)*180/math.Pi, true
	}
}

// setup says where black lies: that of a black patch, or what the others make
// of it. near is how far it may be from 0 or 7.5 IRE, mV.
func (r *Report) setup(t *Target, k *kind, found map[int][]sample, scale, near float64) {
	if !k.luma || k.family.Lines != 525 || k.white == 0 {
		return
	}
	var v []float64
	for i, reading := range t.Readings {
		if math.Abs(reading.Held.Y) < 1e-6 && neutral(reading) {
			for _, s := range found[i] {
				v = append(v, s.level/scale)
			}
		}
	}
	switch {
	case len(v) > 0:
		r.Setup.MV, _ = mean(v)
		r.Setup.From = "black"
	case r.Gain.LumaOK:
		r.Setup.MV = r.Gain.Offset + r.Gain.Luma*float64(k.black)
		r.Setup.From = "levels"
	default:
		return
	}
	full := float64(colorimetry.IRE(7.5).Millivolt())
	switch b := r.Setup.MV; {
	case math.Abs(b) <= near:
		r.Setup.Word = "0"
	case math.Abs(b-full) <= near:
		r.Setup.Word = "7.5"
	case b > 0 && b < full:
		r.Setup.Word = "between"
	default:
		r.Setup.Word = "outside"
	}
}
