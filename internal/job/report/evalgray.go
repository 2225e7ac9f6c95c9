package report

import (
	"math"
	"slices"

	"backporch/internal/job"
	"backporch/internal/meter"
	"backporch/internal/table"
)

// How well light is read. A colorimeter repeats itself to 0.3 % and 0.0005 u'v'
// on a steady patch; two of a kind agree to some 2 % and 0.002 u'v' (both
// common practice).
const (
	lightRepeat, lightAcross = 0.003, 0.02
	colorRepeat, colorAcross = 0.0005, 0.002
	darkFloor                = 0.002 // cd/m2
	lightBasis               = "assumed: a meter repeats to 0.3 % and 0.0005 u'v' (common practice)"
)

// ofLight is a finding in proportion to light.
func ofLight(j Judged) Judged {
	j.Sigma, j.Across, j.Basis = lightRepeat*math.Abs(j.Value), lightAcross*math.Abs(j.Value), lightBasis
	return j
}

// dark is a finding of little light, where a meter has a floor.
func dark(j Judged) Judged {
	j = ofLight(j)
	j.Sigma, j.Across = rms(j.Sigma, darkFloor), rms(j.Across, 2*darkFloor)
	j.Basis = "assumed: a meter repeats to 0.3 % and no better than 0.002 cd/m2 (common practice)"
	return j
}

// ofColor is a finding in so many times u'v'.
func ofColor(j Judged, perUV float64) Judged {
	j.Sigma, j.Across, j.Basis = colorRepeat*perUV, colorAcross*perUV, lightBasis
	return j
}

// gray is gray steps: white, black, gamma, tracking.
func (r *Result) gray(g *Given) error {
	o, err := g.options()
	if err != nil {
		return err
	}
	s, err := meter.Analyze(samples(r.M.Light), o)
	if err != nil {
		return err
	}
	r.Gray = s
	w := s.White
	r.hold(g, repeated(ofLight(Judged{Key: "white-luminance", Limit: job.LimitWhiteLuminance, Name: "White, luminance", Unit: "cd/m2", Decimals: 1, Value: w.XYZ.Y}), w.Sigma.Y, w.N))
	r.hold(g, ofColor(Judged{Key: "white-point", Limit: job.LimitWhitePoint, Name: "White, distance from " + o.Target.Name, Unit: "du*v*", Decimals: 2, Value: w.Off}, perUV))
	r.hold(g, ofColor(Judged{Key: "white-x", Name: "White, x", Decimals: 4, Value: w.XY.X}, 1))
	r.hold(g, ofColor(Judged{Key: "white-y", Name: "White, y", Decimals: 4, Value: w.XY.Y}, 1))
	r.hold(g, ofColor(Judged{Key: "white-u", Minor: true, Name: "White, u'", Decimals: 4, Value: w.UV.U}, math.Sqrt2/2))
	r.hold(g, ofColor(Judged{Key: "white-v", Minor: true, Name: "White, v'", Decimals: 4, Value: w.UV.V}, math.Sqrt2/2))
	if w.HasCCT { // the locus of 5 nm is right to 0.00003 in v, so Duv has four places
		r.hold(g, Judged{Key: "white-temperature", Name: "White, color temperature", Unit: "K", Value: w.CCT.Kelvin,
			Sigma: kelvinPerUV(w.CCT.Kelvin) * colorRepeat, Across: kelvinPerUV(w.CCT.Kelvin) * colorAcross, Basis: lightBasis})
		r.hold(g, ofColor(Judged{Key: "white-duv", Name: "White, Duv from the black-body locus", Unit: "CIE 1960 u, v", Decimals: 4, Value: w.CCT.Duv}, 1))
		r.hold(g, ofColor(Judged{Key: "white-mpcd", Name: "White, above the black-body locus", Unit: "MPCD, CIE 1960", Decimals: 1, Value: w.CCT.MPCD()}, 1/0.0004))
	}
	if s.Judged > 1 {
		r.hold(g, ofColor(Judged{Key: "gray-tracking", Limit: job.LimitGrayTracking, Name: "Gray tracking, worst step", Unit: "du*v*", Decimals: 2, Value: s.WorstTrack}, 0.7*perUV))
	}
	if s.BlackKnown {
		black := dark(Judged{Key: "black", Limit: job.LimitBlack, Name: "Black", Unit: "cd/m2", Decimals: 3, Value: s.Black})
		r.hold(g, black)
		if s.Contrast > 0 {
			c := Judged{Key: "contrast", Limit: job.LimitContrast, Name: "Contrast", Unit: ":1", Value: s.Contrast, Basis: black.Basis}
			c.Sigma, c.Across = s.Contrast*rms(lightRepeat, black.Sigma/s.Black), s.Contrast*rms(lightAcross, black.Across/s.Black)
			r.hold(g, c)
		}
	}
	r.gammas(s, g)
	r.Tables = append(r.Tables, grayTable(s, true))
	r.grayWords(s)
	for _, n := range s.Notes {
		r.Words = append(r.Words, sentence(n))
	}
	return nil
}

// gammas holds the gamma that fits the steps best to its tolerance, and lists
// the others and those of the guns.
func (r *Result) gammas(s *meter.Steps, g *Given) {
	tone, by := s.Tone()
	if !tone.OK {
		r.say("There are too few steps from 10 to 90 per cent of the signal for a gamma.")
		return
	}
	const scatter = "from the scatter of the steps"
	row := func(key, name string, v meter.Gamma, least float64) Judged {
		sigma := max(v.Sigma, least)
		return Judged{Key: key, Minor: true, Name: name, Decimals: 2, Value: v.Value, Sigma: sigma, Across: sigma, Basis: scatter}
	}
	// What black does to it is known as well as black is.
	black := func(j Judged) Judged {
		if s.Black > 0 {
			j.Sigma = rms(j.Sigma, (j.Value-s.Gamma.Value)*darkFloor/s.Black)
			j.Across, j.Basis = j.Sigma, scatter+" and how well black is read"
		}
		return j
	}
	judged := row("gamma", "Gamma, 10 to 90 % of the signal", tone, 0.003)
	if judged.Limit, judged.Minor = job.LimitGamma, false; by != meter.ByLine {
		judged = black(judged)
	}
	r.hold(g, judged)
	if s.Gamma.OK && by != meter.ByLine {
		r.hold(g, row("gamma-line", "Gamma, plain line of the light as read", s.Gamma, 0.003))
	}
	if b := s.BT1886; b.OK && by != meter.ByBT1886 {
		r.hold(g, black(row("gamma-bt1886", "Gamma by ITU-R BT.1886 with its black", meter.Gamma{Value: b.Gamma, Sigma: b.Sigma}, 0.003)))
	}
	for i, gun := range gunNames() {
		if v := s.GunGamma[i]; v.OK { // 0.0005 u'v' are 1 % of a gun's light
			r.hold(g, row("gamma-"+gun, "Gamma of the "+gun+" gun, plain line", v, 0.01))
		}
	}
}

// kelvinPerUV is about how many kelvin a step along the daylight locus is: from
// D65 (.3127 .3290) to D75 (.29903 .31488), 20.5 mired, are 0.0107 u'v'
// (computed).
func kelvinPerUV(kelvin float64) float64 { return kelvin * kelvin / 1e6 / 0.00052 }

func gunNames() []string { return []string{"red", "green", "blue"} }

// grayWords say which way the guns are off, for the hand on the control.
func (r *Result) grayWords(s *meter.Steps) {
	steps := judgedSteps(s)
	if len(steps) == 0 {
		return
	}
	low, high := steps[0], steps[len(steps)-1]
	for _, st := range []struct {
		step meter.Step
		what string
	}{{high, "drives"}, {low, "cutoffs"}} {
		if st.step.Level == high.Level && st.what == "cutoffs" {
			continue
		}
		n := st.step.Guns
		if !(n[1] > 0) {
			continue
		}
		red, blue := 100*(n[0]/n[1]-1), 100*(n[2]/n[1]-1)
		if math.Max(math.Abs(red), math.Abs(blue)) < 1 {
			continue
		}
		r.say("At %.4g %% the red gun gives %s and the blue gun %s against the green one: look to the %s.",
			100*st.step.Level, moreOrLess(red), moreOrLess(blue), st.what)
	}
}

func moreOrLess(percent float64) string {
	switch {
	case percent >= 0.5:
		return trimmed(percent, 0) + " % more light"
	case percent <= -0.5:
		return trimmed(-percent, 0) + " % less light"
	}
	return "the same light"
}

// grayTable is the steps. Duv stands in data only: MPCD are the same in fewer
// letters.
func grayTable(s *meter.Steps, data bool) *table.Table {
	t := &table.Table{Name: "steps", Title: "Gray steps", Columns: []table.Column{
		{Name: "Signal", Unit: "%", Decimals: 1}, {Name: "Y", Unit: "cd/m2", Decimals: 3}, {Name: "x", Decimals: 4}, {Name: "y", Key: "small_y", Decimals: 4},
		{Name: "CCT", Unit: "K", Decimals: 0}, {Name: "MPCD", Decimals: 1},
		{Name: "From target", Unit: "du*v*", Key: "from_target_du_v", Decimals: 2}, {Name: "CIEDE2000", Decimals: 2},
		{Name: "From own white", Unit: "du*v*", Key: "from_own_white_du_v", Decimals: 2},
		{Name: "R/G", Unit: "%", Decimals: 1}, {Name: "B/G", Unit: "%", Decimals: 1}}}
	const duv = 5 // beside CCT
	if data {
		t.Columns = slices.Insert(t.Columns, duv, table.Column{Name: "Duv", Decimals: 4})
	}
	for _, st := range s.Steps {
		row := make([]any, 11)
		var off any
		row[0], row[1], row[2], row[3] = 100*st.Level, st.XYZ.Y, st.XY.X, st.XY.Y
		if st.Judged {
			if st.HasCCT {
				row[4], row[5], off = st.CCT.Kelvin, st.CCT.MPCD(), st.CCT.Duv
			}
			row[6], row[7], row[8] = st.Off, st.DE00, st.Track
			if st.Guns[1] > 0 {
				row[9], row[10] = 100*st.Guns[0]/st.Guns[1], 100*st.Guns[2]/st.Guns[1]
			}
		}
		if data {
			row = slices.Insert(row, duv, off)
		}
		t.Add(row...)
	}
	return t
}
