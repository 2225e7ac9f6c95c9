package compare

import (
	"fmt"
	"math"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/composite"
)

// A Line is one figure under a picture.
type Line struct{ Label, Value string }

// Lines returns what stands under the picture of a variant.
func (r *Result) Lines(o *Outcome) []Line {
	if r.Gun != AllGuns && o.Guns != nil {
		return r.gunLines(o)
	}
	list := []Line{
		{"Black", nits(o.Black.Nits)},
		{"50 %", nits(o.Half.Nits)},
		{"White", nits(o.White.Nits)},
		{"Contrast", contrast(o)},
	}
	add := func(label, value string) { list = append(list, Line{label, value}) }
	if len(o.Steps) > 0 || o.Cut() > 0 {
		add("Crushed", crushed(o))
	}
	if len(o.Steps) > 0 {
		add("Lifted", inWords(o.StepsIn(Lifted)))
	}
	if len(o.Bars) > 0 {
		add("Color", percent(o.Chroma()))
		add("Hue", hue(o))
	}
	switch r.Axis {
	case TVLines:
		if !math.IsNaN(o.RiseTime) {
			add("Edges", fmt.Sprintf("%.0f ns", o.RiseTime))
		}
	case ColorTemperature:
		x, y := o.Set.WhiteXY()
		add("White x", fmt.Sprintf("%.4f", x))
		add("White y", fmt.Sprintf("%.4f", y))
		p := o.Set.Against(colorimetry.D65)
		add("Red light", percent(100*(p[0]-1)))
		add("Blue light", percent(100*(p[2]-1)))
	}
	return list
}

// gunLines are the figures of a picture of one gun: its drive in the four bars,
// and how far the pairs are apart.
func (r *Result) gunLines(o *Outcome) (list []Line) {
	g := o.Guns
	for k, n := range g.Names {
		list = append(list, Line{n, fmt.Sprintf("%.1f %%", 100*g.Drive[k])})
	}
	list = append(list, Line{dash(g.Pair(false)), percent(g.Outer())}, Line{dash(g.Pair(true)), percent(g.Inner())})
	if len(o.Bars) > 0 {
		list = append(list, Line{"Color", percent(o.Chroma())}, Line{"Hue", hue(o)})
	}
	return list
}

// dash turns the hyphen of a difference into a minus sign.
func dash(s string) string { return strings.ReplaceAll(s, " - ", " − ") }

// nits prints a luminance with three figures.
func nits(v float64) string { return figures(v) + " cd/m²" }

func figures(v float64) string {
	decimals := 3
	switch {
	case v < 1e-6:
		return "0"
	case v >= 99.95:
		decimals = 0
	case v >= 9.995:
		decimals = 1
	case v >= 0.9995:
		decimals = 2
	case v < 0.0005:
		return "under 0.001"
	}
	return fmt.Sprintf("%.*f", decimals, v)
}

// mostContrast is the largest ratio that is printed: beyond it black is under
// the last digit that a luminance has here.
const mostContrast = 100_000

func contrast(o *Outcome) string {
	c := o.Contrast()
	if math.IsInf(c, 1) {
		return "no light at black"
	}
	if c > mostContrast {
		return fmt.Sprintf("over %d : 1", mostContrast)
	}
	return fmt.Sprintf("%.0f : 1", c)
}

// percent prints an error: "+8.1 %", and "0 %" for what rounds to it.
func percent(v float64) string { return difference(v, " %") }

func difference(v float64, unit string) string {
	if math.IsNaN(v) {
		return "none"
	}
	v = math.Round(10*v) / 10
	if v == 0 {
		return "0" + unit
	}
	return fmt.Sprintf("%+.1f", v) + unit
}

func hue(o *Outcome) string {
	swing := o.Alternation()
	const little = 0.2 // degrees: what a notch leaves on bars
	if math.IsNaN(o.Hue()) {
		return "no color"
	}
	if swing < little {
		return difference(o.Hue(), "°")
	}
	return fmt.Sprintf("%s, lines ±%.1f°", difference(o.Hue(), "°"), swing)
}

// crushed says what a set loses at the dark end of the scale: below which level,
// and which steps of the pattern.
func crushed(o *Outcome) string {
	steps := o.StepsIn(Crushed)
	cut := o.Cut()
	if cut == 0 {
		return inWords(steps)
	}
	all := fmt.Sprintf("all below %.1f %%", 100*cut)
	if len(steps) == 0 {
		return all
	}
	return all + ": " + inWords(steps)
}

// inWords names steps: of many that rise one by one the first and the last, of
// other many the first alone.
func inWords(steps []Step) string {
	const many = 3
	var names []string
	rising := true
	for i, s := range steps {
		names = append(names, s.Name)
		rising = rising && (i == 0 || s.Want > steps[i-1].Want+1e-6)
	}
	switch n := len(names); {
	case n == 0:
		return "none"
	case n > many && rising:
		return fmt.Sprintf("%s to %s (%d)", names[0], names[n-1], n)
	case n > many:
		return fmt.Sprintf("%s and %d more", names[0], n-1)
	}
	return strings.Join(names, ", ")
}

// Verdict says in a few words what is wrong with a variant, and whether its
// source and set match.
func (r *Result) Verdict(o *Outcome) string {
	var faults []string
	add := func(format string, args ...any) { faults = append(faults, fmt.Sprintf(format, args...)) }
	white := o.Set.Curve.Light(1)
	if o.Black.Nits > o.OwnBlack && !same(o.Black.Nits, o.OwnBlack, white) {
		add("black lifted to %s", nits(o.Black.Nits))
	}
	if cut := o.Cut(); cut > 0 {
		add("all below %.1f %% crushed", 100*cut)
	}
	if d := o.White.Nits/white - 1; math.Abs(d) > sameStep {
		add("white %s", percent(100*d))
	}
	if c := o.Chroma(); math.Abs(c) >= 0.5 {
		add("color %s", percent(c))
	}
	if h := o.Hue(); math.Abs(h) >= 0.5 {
		add("hue %s", difference(h, "°"))
	}
	if s := o.Alternation(); s >= 0.5 {
		add("hue ±%.1f° from line to line", s)
	}
	if r.Axis == ColorTemperature {
		p := o.Set.Against(colorimetry.D65)
		add("red light %s, blue light %s against D65", percent(100*(p[0]-1)), percent(100*(p[2]-1)))
	}
	words := strings.Join(faults, ", ")
	switch {
	case words == "" && r.Axis == TVLines:
		return "flat parts as defined" // what is fine in the picture is not measured
	case o.Match == NoMatter && words == "":
		return "as defined"
	case o.Match == NoMatter:
		return words
	case words == "":
		return o.Match.String()
	}
	return o.Match.String() + ": " + words
}

// Title says what is compared.
func (r *Result) Title() string {
	title := r.Spec + ": " + axisTable[r.Axis].help
	if r.Gun != AllGuns {
		title += ", " + r.Gun.String() + " gun alone"
	}
	return title
}

// Conditions says what holds for all variants, in a sentence or two.
func (r *Result) Conditions() string {
	parts := []string{r.View.Shown.Name}
	switch {
	case r.Axis == Component:
		parts = append(parts, "component")
	case r.Axis != Setup:
		parts = append(parts, r.Wire.Title)
	case r.Wire.Kind == composite.YC:
		parts = append(parts, "Y/C")
	default:
		parts = append(parts, "composite")
	}
	if r.Outcomes[0].Source.Wire.Kind == composite.Composite {
		parts = append(parts, SeparationNames()[r.Set.Input.Separation]+" separation")
	}
	set := r.Set.String()
	if r.Axis == ColorTemperature {
		set = strings.TrimSuffix(set, ", white "+r.Set.White.Title)
	}
	return strings.Join(parts, ", ") + ". " + set + "."
}

// SeparationNames lists how a set may part luma from color, in the order of
// [composite.Separation].
func SeparationNames() []string { return []string{"notch", "comb2", "comb3"} }

// Notes says where the figures come from, and what to bear in mind.
func (r *Result) Notes() []string {
	o := &r.Outcomes[0]
	var own, sent []string
	for l, level := range []Level{o.Black, o.Half, o.White} {
		if level.From != "" {
			own = append(own, fmt.Sprintf("%s in patch %q", levelNames[l], level.From))
		} else {
			sent = append(sent, levelNames[l])
		}
	}
	var from []string
	if len(own) > 0 {
		from = append(from, "measured: "+strings.Join(own, ", "))
	}
	if len(sent) > 0 {
		from = append(from, "not in the pattern, sent the same way by themselves: "+strings.Join(sent, ", "))
	}
	var notes []string
	if r.Axis == Setup || r.Axis == Component {
		notes = append(notes, "All sources play the same file, without setup in it.")
	} else {
		notes = append(notes, r.Scene.Notes...)
	}
	if o.Guns == nil {
		notes = append(notes, "Levels "+strings.Join(from, "; ")+".")
	} else {
		notes = append(notes, fmt.Sprintf("What drives the %s gun in each bar, per cent of white; all four should be at %s %%. Pairs in per cent of that.", r.Gun, number(math.Round(1000*o.Guns.Level)/10)))
	}
	if r.Axis == ColorTemperature {
		notes = append(notes, "Red and blue light: of equal drive, with equal green, against the same tube aligned to D65.")
	}
	if len(o.Steps) > 0 && o.Guns == nil {
		notes = append(notes, ToleranceText+" Lifted: at or below black, and yet lighter than the set's own black.")
	}
	if s := r.Sensitivity; s != nil {
		notes = append(notes, readsText(s, o.Guns))
	}
	if a := r.Advice(); a != "" {
		notes = append(notes, a)
	}
	if r.NoGuns != "" {
		notes = append(notes, "No pairs of bars to read: "+r.NoGuns+"; "+WithBars+".")
	}
	if r.Axis == Phase && r.alternating() {
		notes = append(notes, "Without a delay line the hue swings to either side from line to line; the delay line takes the mean of two lines, so a wrong phase costs color and no hue.")
	}
	if c := r.Caution(); c != "" {
		notes = append(notes, c)
	}
	scale := "All pictures have one common scale of light"
	switch {
	case r.Exposure > 0:
		scale += fmt.Sprintf(", %s times that of the tube; what is lighter than a screen can show is held at its white", number(math.Exp2(r.Exposure)))
	case r.dark():
		scale += "; most screens lose steps as dark as these: --exposure 5 shows them"
	}
	return append(notes, scale+". A screen shows their differences, not their colors to the last step.")
}

// dark reports whether the whole pattern lies in the lowest fifth of the
// levels, where a tube gives 2 % of its light and less.
func (r *Result) dark() bool {
	for _, p := range r.Scene.Patches {
		if max(p.Want.Y, p.To.Y) > 0.2 {
			return false
		}
	}
	return true
}

// readsText says what the pairs of bars are good for.
func readsText(s *Sensitivity, g *GunBars) string {
	gain := fmt.Sprintf("The pair %s reads color gain: %+.3f %% for 1 %% of gain", dash(g.Pair(false)), s.OuterGain)
	if !s.ReadsPhase() {
		return gain + ". No pair reads phase on this wire: the mean of two lines has the right hue."
	}
	return fmt.Sprintf("%s, and %+.3f %% for 1° of phase. The pair %s reads phase: %+.3f %% for 1°, and %+.3f %% for 1 %% of gain. So set gain with the first pair, phase with the second, and go round once more.",
		gain, s.OuterPhase, dash(g.Pair(true)), s.InnerPhase, s.InnerGain)
}

// Advice says that the pattern cannot show what the axis changes, and which can;
// "" where it can.
func (r *Result) Advice() string {
	if len(r.Outcomes[0].Bars) > 0 {
		return ""
	}
	switch r.Axis {
	case Phase, Gain, Burst:
		return "The pattern has no patch of color, so these pictures do not differ; bars-full and bars-eg1 have some."
	}
	return ""
}

// Caution returns what a reader must know before touching the set because of
// this comparison; "" where it is about the knobs in front.
func (r *Result) Caution() string {
	switch r.Axis {
	case Setup, Component:
		return "Caution: where the switch for levels is inside the set, setting it is service work. " + inside
	case ColorTemperature:
		return "Caution: white is set inside the set, which is service work. " + inside
	}
	return ""
}

const inside = "Inside a picture-tube set there are lethal voltages, also after it is unplugged: leave it to those who are trained and licensed for the work."
