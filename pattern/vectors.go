package pattern

import (
	"fmt"

	"backporch/colorimetry"
)

// Vectors is patches of one luma and one chroma amplitude: hues at equal steps
// around the circle, and below them the axes of decoders.
type Vectors struct {
	Steps     int
	Amplitude float64 // IRE peak to peak; 7 mV each at 625 lines
	Luma      float64 // per cent
}

// A hue is an angle from +(B'-Y') with its name.
type hue struct {
	name    string
	degrees float64
}

// axes are those of the color differences and, 33 degrees ahead, of Q and I
// (SMPTE 170M clause 10; 244M-2003 clause 4.1.2).
var axes = []hue{
	{"+(B-Y)", 0}, {"+Q", 33}, {"+(R-Y)", 90}, {"+I", 123},
	{"-(B-Y)", 180}, {"-Q", 213}, {"-(R-Y)", 270}, {"-I", 303},
}

// Scene implements Pattern.
func (p *Vectors) Scene(v View) (*Scene, error) {
	if p.Steps < leastHues || p.Steps > mostHues {
		return nil, fmt.Errorf("steps: %d is not within %d to %d", p.Steps, leastHues, mostHues)
	}
	luma, absentLuma := v.reach(colorimetry.Gray(p.Luma / 100))
	hues := make([]hue, p.Steps)
	for i := range hues {
		a := 360 * float64(i) / float64(p.Steps)
		hues[i] = hue{fmt.Sprintf("%.4g degrees", a), a}
	}
	color := func(h hue) colorimetry.Signal {
		s := v.subcarrier(p.Amplitude, h.degrees)
		s.Y = luma.Y
		return s
	}
	// All keep one amplitude, so the hue that has the least room decides.
	part, absent := 1.0, absentLuma
	for _, h := range append(append([]hue(nil), hues...), axes...) {
		part = min(part, v.chromaPart(color(h)))
	}
	if part < 1 {
		absent = v.tooMuchColor()
	}

	half := (p.Steps + 1) / 2
	rows := [][]hue{hues[:half], hues[half:], axes}
	ends := []float64{v.down(0.3), v.down(0.6), v.down(0.9)}
	top := v.down(0)
	var bands []Band
	var patches []Patch
	for i, row := range rows {
		list := make([]bar, len(row))
		for k, h := range row {
			list[k] = bar{h.name, v.across(float64(k+1) / float64(len(row))), smaller(color(h), part), absent}
		}
		band, more := v.bars(v.across(0), top, ends[i], list...)
		bands, patches, top = append(bands, band), append(patches, more...), ends[i]
	}
	gray, more := v.bars(v.across(0), top, v.down(1), bar{"gray", v.across(1), luma, absentLuma})
	s := still(endsAt(append(bands, gray)), append(patches, more...)...)
	s.Notes = v.vectorNotes(part * p.Amplitude)
	if part < 1 {
		s.Notes = append(s.Notes, fmt.Sprintf("%s has no code for all hues at this amplitude: all are %s instead; it holds most at a luma of 50 %%.",
			v.Coding.Name, v.peakToPeak(part*p.Amplitude)))
	}
	return s, nil
}

// peakToPeak spells an amplitude in IRE on the wire as the system has it.
func (v View) peakToPeak(ire float64) string {
	return v.amplitudeName(ire) + " peak to peak"
}

// vectorNotes says how large the subcarrier is and what it was reckoned with.
func (v View) vectorNotes(ire float64) []string {
	if v.lines625() {
		return []string{"The subcarrier is " + v.peakToPeak(ire) + ": 1 IRE counts as 7 mV. The angles hold on lines where V is positive; I and Q are not axes of a 625-line signal."}
	}
	return v.ireNotes("Amplitudes")
}

const leastHues, mostHues = 6, 24

var vectorsEntries = []Entry{{
	Name: "vectors", Group: GroupColor,
	Use:     "decoder and vectorscope: dots on a circle at equal steps, so that an error of one axis (gain, angle, clipping) makes an ellipse; I, Q, B-Y and R-Y for the axes",
	Source:  "axes: SMPTE 170M-2004 clause 10 and 244M-2003 clause 4.1.2; subcarrier factors SMPTE 170M Annex A.3 and ITU-R BT.470-6 item 2.5; layout own design",
	Example: "backporch render vectors --steps 12 --setup 7.5 -o vectors.y4m",
	New: func() (Pattern, []*Option) {
		p := &Vectors{Steps: 12, Amplitude: 40, Luma: 50}
		return p, []*Option{
			whole("steps", &p.Steps, leastHues, mostHues, "hues", "how many hues around the circle, beginning at +(B-Y)"),
			number("amplitude", &p.Amplitude, 10, 80, "IRE peak to peak", "subcarrier of all hues on a composite wire; at 625 lines 1 IRE counts as 7 mV"),
			number("luma", &p.Luma, 20, 80, "per cent", "luma of the whole picture"),
		}
	},
}}
