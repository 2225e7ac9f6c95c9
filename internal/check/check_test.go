package check

import (
	"bytes"
	"encoding/json"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/measure"
	"backporch/internal/table"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// report is one of a capture without faults, at its nominal place, not yet
// judged.
func report(t testing.TB, spec, raster string) *Report {
	t.Helper()
	r := timing.Lookup(raster)
	p, err := pattern.Parse(spec)
	require.NoError(t, err)
	v := pattern.NewView(r, colorimetry.YCbCr8, frame.S422, pattern.Shaped)
	s, err := p.Scene(v)
	require.NoError(t, err)
	f, err := pattern.Sample(s, r, frame.S422, 0)
	require.NoError(t, err)
	q := &measure.Request{Picture: measure.OfFrame(f), Name: spec, Scene: s, View: v, Raster: r}
	at := measure.Nominal(r)
	return &Report{
		File: "capture.y4m", Spec: spec, Program: "backporch test", Kind: "YUV4MPEG2 422", Order: 't', Via: Via{None: true}, Request: q,
		Result: &measure.Result{Place: at, Nominal: at, Patches: measure.Patches(q.Picture, at, s, v, nil)},
	}
}

// change changes what was measured of every patch.
func (r *Report) change(f func(s colorimetry.Signal) colorimetry.Signal) {
	for i := range r.Result.Patches {
		r.Result.Patches[i].Got = f(r.Result.Patches[i].Got)
	}
}

func found(f measure.Fault, confidence, value float64) measure.Finding {
	return measure.Finding{Fault: f, Confidence: confidence, Value: value, Sigma: 0.1, Words: "Words about " + string(f) + "."}
}

// TestVerdict: what the verdict is for findings and levels of each kind, per
// class, with and without a known capture device.
func TestVerdict(t *testing.T) {
	gain := func(g float64) func(colorimetry.Signal) colorimetry.Signal {
		return func(s colorimetry.Signal) colorimetry.Signal {
			return colorimetry.Signal{Y: g * s.Y, CB: g * s.CB, CR: g * s.CR}
		}
	}
	chroma := func(g float64) func(colorimetry.Signal) colorimetry.Signal {
		return func(s colorimetry.Signal) colorimetry.Signal {
			return colorimetry.Signal{Y: s.Y, CB: g * s.CB, CR: g * s.CR}
		}
	}
	for _, tt := range []struct {
		name     string
		class    Class
		change   func(colorimetry.Signal) colorimetry.Signal
		findings []measure.Finding
		want     Outcome
		words    string
	}{
		{"clean", Studio, nil, nil, Fit, "Fit for class studio: all that this pattern shows is within tolerance."},
		{"gain within", Bench, gain(0.98), nil, Fit, "Fit for class bench"},
		{"gain beyond, unexplained", Bench, gain(0.95), nil, FitWithCorrection, "change the gain of luma (contrast, video level) by +5.3 %"},
		{"gain beyond for a studio", Studio, gain(0.98), nil, FitWithCorrection, "by +2.0 %"},
		{"gain for any", Any, gain(0.8), nil, Fit, "Fit for class any"},
		{"gain found", Bench, gain(0.9), []measure.Finding{found(measure.LumaGain, 0.99, -10)}, FitWithCorrection, "change the gain of luma (contrast, video level) by +11.1 %"},
		{"chroma, unexplained", Bench, chroma(1.1), nil, FitWithCorrection, "change the gain of chroma (color, saturation) by -9.1 %"},
		{"chroma found", Bench, chroma(1.1), []measure.Finding{found(measure.ChromaGain, 0.95, 10)}, FitWithCorrection, "change the gain of chroma (color, saturation) by -9.1 %"},
		{"a little phase", Bench, nil, []measure.Finding{found(measure.ChromaPhase, 0.99, 2)}, Fit, ""},
		{"phase", Studio, nil, []measure.Finding{found(measure.ChromaPhase, 0.99, 2)}, FitWithCorrection, "turn chroma (hue, phase) by -2.0 degrees"},
		{"setup", Studio, nil, []measure.Finding{found(measure.SetupAdded, 0.99, math.NaN())}, FitWithCorrection, "--player-setup 7.5"},
		{"setup or not", Studio, nil, []measure.Finding{{Fault: measure.SetupAdded, Confidence: 0.6, Alike: []measure.Fault{measure.RangeSqueezed}, Part: "vectors"}}, CannotTell,
			"setup added is possible (60 %), and looks like range squeezed; play vectors"},
		{"perhaps nothing", Bench, nil, []measure.Finding{found(measure.Quantized, 0.3, 5)}, Fit, ""},
		{"mixed fields", Any, nil, []measure.Finding{found(measure.ChromaFields, 0.97, 0.5)}, NotFit, "chroma of the two fields is mixed. No setting corrects that."},
		{"cut blacks", Any, nil, []measure.Finding{found(measure.BelowBlackCut, 0.97, math.NaN())}, NotFit, "levels below black are cut"},
		{"cut whites on a bench", Bench, nil, []measure.Finding{found(measure.AboveWhiteCut, 0.97, math.NaN())}, Fit, ""},
		{"cut whites in a studio", Studio, nil, []measure.Finding{found(measure.AboveWhiteCut, 0.97, math.NaN())}, NotFit, "levels above white are cut"},
		{"stretched, and so cut", Bench, nil, []measure.Finding{found(measure.RangeStretched, 0.97, math.NaN()), found(measure.BelowBlackCut, 0.97, math.NaN())}, FitWithCorrection, "set the video range"},
		{"quantized", Bench, nil, []measure.Finding{found(measure.Quantized, 0.97, 5)}, NotFit, "color is quantized to 5 bits"},
		{"bandwidth within", Bench, nil, []measure.Finding{found(measure.Bandwidth, 0.97, 3.5)}, Fit, ""},
		{"bandwidth", Studio, nil, []measure.Finding{found(measure.Bandwidth, 0.97, 3.5)}, NotFit, "luma ends at 3.5 MHz"},
		{"final before doubts", Bench, nil, []measure.Finding{found(measure.ChromaFields, 0.97, 0.5), found(measure.SetupAdded, 0.6, math.NaN())}, NotFit, "chroma of the two fields"},
		{"wide", Bench, nil, []measure.Finding{found(measure.Shape, 0.97, 9)}, FitWithCorrection, "shown one to one (it is 9.0 % too wide for its height)"},
		{"narrow", Bench, nil, []measure.Finding{found(measure.Shape, 0.97, -9)}, FitWithCorrection, "shown one to one (it is 9.0 % too narrow for its height)"},
		{"shifted", Studio, nil, []measure.Finding{found(measure.Shifted, 0.97, 13.5)}, FitWithCorrection, "move the picture back by -13.5 samples (-1.00 us)"},
		{"shifted a little", Studio, nil, []measure.Finding{found(measure.Shifted, 0.97, 1)}, Fit, ""},
		{"fields", Bench, nil, []measure.Finding{found(measure.FieldsLate, 0.97, math.NaN())}, FitWithCorrection, "field order"},
		{"bent", Studio, func(s colorimetry.Signal) colorimetry.Signal {
			if s.Y > 0.7 && s.Y < 0.8 {
				s.Y += 0.03
			}
			return s
		}, nil, NotFit, "levels lie off a straight line by up to 3.0 IRE"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := report(t, "bars-eg1", "240p")
			r.Class = tt.class
			if tt.change != nil {
				r.change(tt.change)
			}
			r.Result.Findings = tt.findings
			r.Judge()
			assert.Equal(t, tt.want, r.Verdict.Outcome, r.Verdict.Sentence)
			assert.Contains(t, r.Verdict.Sentence, tt.words)
			assert.NotContains(t, r.Verdict.Sentence, "Player and capture")

			r.Via = Via{}
			r.Judge()
			assert.Contains(t, r.Verdict.Sentence, "Player and capture together: ")
			assert.False(t, r.Verdict.Outcome.Good(), "nobody knows the capture device: never fit")
			if tt.want == NotFit {
				assert.Equal(t, NotFit, r.Verdict.Outcome)
			}
		})
	}
}

// TestVerdictOfThePlace: what was not found for certain is not judged.
func TestVerdictOfThePlace(t *testing.T) {
	r := report(t, "bars-eg1", "240p")
	r.Result.Place.Score = 0.4
	r.Judge()
	assert.Equal(t, CannotTell, r.Verdict.Outcome)
	assert.Contains(t, r.Verdict.Sentence, "the picture was not found for certain (correlation 0.40, sure to 100 %)")
	assert.Empty(t, r.Items)

	r.Request.Region = [4]float64{1, 2, 3, 4} // somebody has said where it is
	r.Judge()
	assert.Equal(t, Fit, r.Verdict.Outcome)

	// Another pattern at the right place: the order of the bars is the reverse.
	r = report(t, "bars-full", "240p")
	other := report(t, "bars-full order=reverse", "240p")
	for i := range r.Result.Patches {
		r.Result.Patches[i].Got = other.Result.Patches[i].Got
	}
	r.Judge()
	assert.Equal(t, CannotTell, r.Verdict.Outcome, r.Verdict.Sentence)

	r = report(t, "crosshatch", "240p")
	r.Judge()
	assert.Equal(t, CannotTell, r.Verdict.Outcome)
	assert.Contains(t, r.Verdict.Sentence, "play bars-eg1")
}

// TestVerdictThroughACalibration: a device that cuts black is not the source's
// fault, its shift is taken out, and what it is not known well enough for is said.
func TestVerdictThroughACalibration(t *testing.T) {
	shift, zero := 3.0, 0.0
	mhz := 3.4
	cal := &measure.Calibration{LumaGain: 1, Chroma: &[2][2]float64{{1, 0}, {0, 1}}, Width: 720, Height: 240, Lines: 525, Shift: &shift, Down: &zero, CutsBlack: true, Bandwidth: &mhz}
	r := report(t, "bars-eg1", "240p")
	r.Class = Studio
	r.Via = Via{Calibration: cal, Name: "Bench A"}
	r.Result.Place.X0 += 3
	r.Result.Findings = []measure.Finding{found(measure.BelowBlackCut, 0.99, math.NaN()), found(measure.Bandwidth, 0.99, 3.3)}
	r.Judge()
	assert.Equal(t, Fit, r.Verdict.Outcome, r.Verdict.Sentence)
	assert.Contains(t, strings.Join(r.notes(), "\n"), "The calibration leaves luma uncertain by 0.00 IRE at black")

	r.Result.Findings = []measure.Finding{found(measure.Bandwidth, 0.99, 2)}
	r.Judge()
	assert.Equal(t, NotFit, r.Verdict.Outcome, "worse than the device alone")

	r.Result.Findings = nil
	cal.SigmaWhite = 0.02
	r.Judge()
	assert.Equal(t, CannotTell, r.Verdict.Outcome)
	assert.Contains(t, r.Verdict.Sentence, "white is known to 2.0 IRE only, and the tolerance is 1")

	cal.SigmaWhite, cal.Chroma = 0, nil
	r.Judge()
	assert.Equal(t, CannotTell, r.Verdict.Outcome)
	assert.Contains(t, r.Verdict.Sentence, "the calibration knows nothing of color")
}

// TestShiftIsTime: 13.5 samples of 13.5 MHz are 1 us (ITU-R BT.601-5).
func TestShiftIsTime(t *testing.T) {
	for _, raster := range []string{"480i", "576i", "240p"} {
		r := report(t, "bars-eg1", raster)
		assert.InDelta(t, 1, r.microseconds(13.5), 1e-9, raster)
	}
}

// TestTables: all forms can be written, and the JSON has the keys that programs
// rely on.
func TestTables(t *testing.T) {
	for _, spec := range []string{"bars-eg1", "ramp", "pluge", "multiburst", "crosshatch"} {
		r := report(t, spec, "480i")
		r.Result.Findings = []measure.Finding{{Fault: measure.SetupAdded, Confidence: 0.6, Value: math.NaN(), Sigma: math.NaN(), Words: "Setup was added.", Alike: []measure.Fault{measure.RangeSqueezed}, Part: "vectors"}}
		r.Result.Luma = []measure.Response{{MHz: 1, Gain: 1}, {MHz: 3, Gain: 0.5, Delay: 10}, {MHz: 4, Gain: 0}}
		r.Result.Unseen = []measure.Unseen{{Fault: measure.Gamma, Seen: measure.Weak, Play: "staircase"}, {Fault: measure.FieldsLate, Seen: measure.None, Play: "field-order"}}
		r.Motion = NewMotion([]int{0, 1, 2, 3}, 1, r.Request.Raster, 10)
		r.Judge()
		for _, d := range []*table.Record{r.Record(), r.Data()} {
			for _, f := range []table.Format{table.Text, table.CSV, table.JSON} {
				assert.NoError(t, d.Write(&bytes.Buffer{}, f, 100), spec)
			}
		}
		var b bytes.Buffer
		require.NoError(t, r.Data().Write(&b, table.JSON, 0))
		var got map[string]any
		require.NoError(t, json.Unmarshal(b.Bytes(), &got))
		assert.Equal(t, "backporch/check/1", got["schema"])
		for _, key := range []string{"verdict", "in_words", "file", "pattern", "raster", "class", "capture_device", "frames_averaged", "field_order", "corrections", "reasons",
			"place_sure_percent", "luma_gain_percent", "chroma_phase_deg", "patches", "findings", "tolerances", "response", "cannot_tell", "notes"} {
			assert.Contains(t, got, key, spec)
		}
		b.Reset()
		require.NoError(t, r.Record().Write(&b, table.Text, 100))
		assert.Contains(t, b.String(), "It may as well be: range squeezed. Play vectors to tell them apart.")
		assert.Regexp(t, `field-order +fields late`, b.String())
		assert.Regexp(t, `staircase +- +gamma`, b.String())
	}
}

// TestEnds: 3 dB is 0.708; between 1 at 2 MHz and 0.5 at 4 it is passed at 3.17.
func TestEnds(t *testing.T) {
	of := func(gain ...float64) (list []measure.Response) {
		for i, g := range gain {
			list = append(list, measure.Response{MHz: float64(2 * i), Gain: g})
		}
		return list
	}
	mhz, bound := ends(of(1, 1, 0.5))
	assert.InDelta(t, 2+2*(1-0.70795)/0.5, mhz, 1e-6)
	assert.False(t, bound)
	mhz, bound = ends(of(1, 0.9, 0.8))
	assert.Equal(t, 4.0, mhz)
	assert.True(t, bound)
	_, bound = ends(of(0.5, 0.4))
	assert.False(t, bound)
}

// TestDifference: the difference of 75 % blue from itself at 10 % more chroma is
// seen, that of a color outside the tube's is not reckoned.
func TestDifference(t *testing.T) {
	r := report(t, "bars-eg1", "480i")
	for i := range r.Result.Patches {
		p := &r.Result.Patches[i]
		d, ok := r.Difference(p)
		switch p.Name {
		case "-I", "+Q", "PLUGE below black":
			assert.False(t, ok, p.Name)
		case "blue":
			require.True(t, ok)
			assert.Less(t, d, 1e-3)
			p.Got.CB *= 1.1
			d, _ = r.Difference(p)
			assert.Greater(t, d, 1.0)
		default:
			assert.True(t, ok, p.Name)
		}
	}
}

// TestMotion: fields of 480i come top first, those of the DV raster bottom first.
func TestMotion(t *testing.T) {
	for _, tt := range []struct {
		name, raster                   string
		times                          []int
		late, repeated, dropped, count int
	}{
		{"in order", "480i", []int{0, 1, 2, 3, 4, 5}, 0, 0, 0, 3},
		{"late", "480i", []int{1, 0, 3, 2, 5, 4}, 3, 0, 0, 3},
		{"bottom first", "480i-dv", []int{1, 0, 3, 2}, 0, 0, 0, 2},
		{"bottom first, late", "480i-dv", []int{0, 1, 2, 3}, 2, 0, 0, 2},
		{"repeated", "480i", []int{0, 1, 0, 1, 2, 3}, 0, 1, 0, 3},
		{"dropped", "480i", []int{0, 1, 4, 5}, 0, 0, 1, 2},
		{"around", "480i", []int{4, 5, 6, 7, 0, 1}, 0, 0, 0, 3},
		{"late, around", "480i", []int{0, 7, 2, 1}, 2, 0, 0, 2},
		{"progressive", "240p", []int{0, 1, 3, 0}, 0, 0, 1, 4},
	} {
		m := NewMotion(tt.times, 0.95, timing.Lookup(tt.raster), 4)
		assert.Equal(t, []int{tt.late, tt.repeated, tt.dropped, tt.count}, []int{m.Late, m.Repeated, m.Dropped, m.Frames}, tt.name)
		assert.Equal(t, tt.late > 0, len(m.findings()) == 1, tt.name)
	}
	r := report(t, "bars-eg1", "480i")
	r.Motion = NewMotion([]int{1, 0, 3, 2}, 0.95, r.Request.Raster, 10)
	r.Judge()
	assert.Equal(t, FitWithCorrection, r.Verdict.Outcome)
	assert.Contains(t, r.Verdict.Sentence, "field order")
}

// TestCompare: a change is told from noise.
func TestCompare(t *testing.T) {
	r := report(t, "bars-eg1", "240p")
	r.Judge()
	var b bytes.Buffer
	require.NoError(t, r.Data().Write(&b, table.JSON, 0))
	before, err := ParseBefore(b.Bytes())
	require.NoError(t, err)

	c, err := r.Compare(before)
	require.NoError(t, err)
	assert.Zero(t, c.Patches.Len())

	r.change(func(s colorimetry.Signal) colorimetry.Signal { s.Y += 0.003; return s })
	c, err = r.Compare(before)
	require.NoError(t, err)
	assert.Zero(t, c.Patches.Len(), "0.3 IRE is less than rounding to codes leaves open")

	r.change(func(s colorimetry.Signal) colorimetry.Signal {
		if s.Y > 0.9 {
			s.Y -= 0.02
		}
		return s
	})
	r.Result.Findings = []measure.Finding{found(measure.LumaGain, 0.9, -2)}
	r.Judge()
	c, err = r.Compare(before)
	require.NoError(t, err)
	assert.Equal(t, 1, c.Patches.Len())
	r.Change = c
	b.Reset()
	require.NoError(t, r.Data().Write(&b, table.JSON, 0))
	assert.Contains(t, b.String(), `"new_findings":"luma-gain"`)
	assert.Contains(t, b.String(), `"patches_changed":1`)
	require.NoError(t, r.Record().Write(&b, table.Text, 100))

	r.Spec = "pluge"
	_, err = r.Compare(before)
	assert.EqualError(t, err, "is a check of bars-eg1 at 240p, and this is one of pluge at 240p; only like can be compared")
	_, err = ParseBefore([]byte(`{"schema":"backporch/kit/1"}`))
	assert.ErrorContains(t, err, `has the schema "backporch/kit/1", and an earlier check has "backporch/check/1"`)
	_, err = ParseBefore([]byte("no"))
	assert.ErrorContains(t, err, "is no JSON of a check")
}

// TestPage: one file that needs no other, with the picture and every patch.
func TestPage(t *testing.T) {
	r := report(t, "bars-eg1", "480i")
	r.File = "<capture>.y4m"
	r.Result.Findings = []measure.Finding{found(measure.LumaGain, 0.97, -8)}
	r.Judge()
	var b bytes.Buffer
	require.NoError(t, r.Page(&b, "Mind the high voltage."))
	page := b.String()
	assert.Contains(t, page, "Check of &lt;capture&gt;.y4m")
	assert.NotContains(t, page, "<capture>")
	assert.Contains(t, page, `src="data:image/png;base64,`)
	assert.Contains(t, page, "Words about luma-gain.")
	assert.Contains(t, page, "Mind the high voltage.")
	assert.Contains(t, page, "PLUGE below black")
	assert.Contains(t, page, "Fit with a correction")
	for _, link := range regexp.MustCompile(`(?:src|href)="([^"]*)"`).FindAllStringSubmatch(page, -1) {
		assert.True(t, strings.HasPrefix(link[1], "data:"), link[1])
	}
	assert.NotContains(t, page, "NaN")
}

func TestClasses(t *testing.T) {
	for _, name := range Classes() {
		c, err := ParseClass(name)
		require.NoError(t, err)
		assert.Equal(t, name, c.String())
	}
	_, err := ParseClass("kitchen")
	assert.EqualError(t, err, `there is no class "kitchen"; use bench, studio, any (`+"`backporch list classes` has their tolerances)")
	for q, l := range Limits() {
		assert.NotEmpty(t, l.Source, "%s", l.Name)
		assert.NotEmpty(t, l.Name, "%d", q)
		if l.Least {
			assert.GreaterOrEqual(t, l.Max[Studio], l.Max[Bench], l.Name)
			assert.GreaterOrEqual(t, l.Max[Bench], l.Max[Any], l.Name)
		} else {
			assert.LessOrEqual(t, l.Max[Studio], l.Max[Bench], l.Name)
			assert.LessOrEqual(t, l.Max[Bench], l.Max[Any], l.Name)
		}
	}
	var b bytes.Buffer
	require.NoError(t, ClassData().Write(&b, table.JSON, 0))
	assert.Contains(t, b.String(), `{"quantity":"Black","unit":"IRE","is":"at most","bench":2.5,"studio":1,"any":null,`)
	b.Reset()
	require.NoError(t, ClassTable().Write(&b, table.Text, 100))
	assert.Contains(t, strings.Join(strings.Fields(b.String()), " "), "studio SMPTE 170M-2004 table 1")
}

// TestScope: a source of 95 % luma, 10 mV too high, with setup of 7.5 IRE (53.57
// mV of 714.29, SMPTE 170M-2004 table 1), its color turned by 90 degrees.
func TestScope(t *testing.T) {
	s, err := ParseScope([]byte(`{"schema":"backporch/check-scope/1","wire":"composite-m","luma_gain":0.95,"luma_offset_mv":10,"chroma_gain":0.8,"phase_error_deg":90}`))
	require.NoError(t, err)
	s.Family = colorimetry.CompositeM
	r := report(t, "bars-eg1", "480i")
	require.NoError(t, s.Check(r))
	got, _ := s.Known(colorimetry.Gray(0))
	assert.InDelta(t, (10+0.95*53.571-53.571)/660.714, got.Y, 1e-5)
	got, _ = s.Known(colorimetry.Gray(1))
	assert.InDelta(t, (10+0.95*714.286-53.571)/660.714, got.Y, 1e-5)
	blue := colorimetry.FromRGB(0, 0, 0.75)
	got, _ = s.Known(blue)
	gain, turn, ok := measure.Chroma(blue, got)
	require.True(t, ok)
	assert.InDelta(t, 0.8, gain, 1e-9)
	assert.InDelta(t, 90, turn, 1e-9)

	assert.ErrorContains(t, s.Check(report(t, "bars-eg1", "576i")), "measured composite-m, a signal of 525 lines, and the capture has 625")
	s.Family = nil
	assert.ErrorContains(t, s.Check(r), `names the wire "composite-m", which is none`)
	for want, text := range map[string]string{
		"is no JSON of a measurement": "x",
		`has the schema ""`:           "{}",
		"has no luma gain":            `{"schema":"backporch/check-scope/1"}`,
		"that no working source has":  `{"schema":"backporch/check-scope/1","luma_gain":50}`,
	} {
		_, err := ParseScope([]byte(text))
		assert.ErrorContains(t, err, want)
	}
}
