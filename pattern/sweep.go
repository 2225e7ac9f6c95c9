package pattern

import (
	"fmt"
	"math"
	"strconv"

	"backporch/colorimetry"
	"backporch/timing"
)

// Sweep is a sine of luma whose frequency rises across the line, above and
// below a scale of its frequency.
type Sweep struct {
	From, To  float64 // MHz; To 0 is as far as the shown raster goes
	Scale     string  // linear or log
	Level     float64 // per cent of white that the sine stands on
	Amplitude float64 // per cent of white, peak to peak
}

// sweepEnds is how much of the shown width lies outside the sweep, each side.
const sweepEnds = 0.05

// A chirp is a sine whose frequency goes from F0 at X0 to F1 at X1, in cycles
// a picture height: linear, or by equal ratios (Log). It begins with phase
// zero. Its ends are gated like those of a packet.
type chirp struct {
	packet
	F0, F1 float64
	Log    bool
}

// turns returns the cycles since X0: the integral of the frequency.
func (c chirp) turns(x float64) float64 {
	u, w := (x-c.X0)/(c.X1-c.X0), c.X1-c.X0
	if c.Log {
		ln := math.Log(c.F1 / c.F0)
		return float64(float64(w*c.F0) / ln * math.Expm1(float64(u*ln)))
	}
	return float64(w*u) * (c.F0 + float64((c.F1-c.F0)/2*u))
}

// place is where the chirp has the frequency f.
func (c chirp) place(f float64) float64 {
	u := (f - c.F0) / (c.F1 - c.F0)
	if c.Log {
		u = math.Log(f/c.F0) / math.Log(c.F1/c.F0)
	}
	return blend(c.X0, c.X1, u)
}

func (c chirp) add(dst []float64, x timing.Comb) {
	for i, at := range c.places(x, len(dst)) {
		dst[i] += float64(float64(c.Peak*c.gate(at)) * turn(c.turns(at)))
	}
}

// chirp checks the options and lays the sweep out.
func (p *Sweep) chirp(v View) (chirp, error) {
	c := chirp{Log: p.Scale == "log"}
	if !c.Log && p.Scale != "linear" {
		return c, fmt.Errorf("scale: %q is none of linear, log", p.Scale)
	}
	if err := swing("amplitude", p.Level/100, p.Amplitude/100); err != nil {
		return c, err
	}
	to := p.To
	if to == 0 {
		to = nyquistShare * v.Shown.Nyquist().Float64() // also where edges are hard
	}
	if why := v.tooFine(to); why != "" {
		return c, fmt.Errorf("to: %v MHz is %s; use at most %.2f on raster %s, or 0 for as far as it goes", to, why, math.Floor(100*v.limit()-1e-6)/100, v.Shown.Name)
	}
	if p.From >= to {
		return c, fmt.Errorf("from: a sweep from %v to %.4g MHz does not rise; use a lower start", p.From, to)
	}
	c.X0, c.X1, c.Gate, c.Peak = v.across(sweepEnds), v.across(1-sweepEnds), v.Edge[0], p.Amplitude/200
	c.F0, c.F1 = float64(p.From*v.perMHz()), float64(to*v.perMHz())
	return c, nil
}

// Sizes of the scale, in field lines from its upper end.
const (
	sweepMark      = 6
	sweepShortMark = 3
	sweepScale     = sweepMark + 2 + numeralLines + 3
)

// A sweepTick is a mark of the scale; Text is "" if there is no room for it.
type sweepTick struct {
	MHz, X float64
	Text   string
}

// ticks are the marks at every half MHz within the sweep, with numerals at
// whole ones and, where the sweep begins below 1 MHz, at a half.
func (v View) sweepTicks(c chirp) (list []sweepTick) {
	free := math.Inf(-1) // right end of the last numeral
	cell := v.numeralCell()
	for half := math.Ceil(2*c.F0/v.perMHz() - 1e-9); half <= 2*c.F1/v.perMHz()+1e-9; half++ {
		t := sweepTick{MHz: half / 2}
		t.X = c.place(float64(t.MHz * v.perMHz()))
		if text := strconv.FormatFloat(t.MHz, 'f', -1, 64); math.Mod(half, 2) == 0 || half == 1 {
			if w := float64(float64(numeralWidth(text)) * cell / 2); t.X-w > free {
				t.Text, free = text, t.X+w+2*cell
			}
		}
		list = append(list, t)
	}
	return list
}

// Scene implements Pattern.
func (p *Sweep) Scene(v View) (*Scene, error) {
	c, err := p.chirp(v)
	if err != nil {
		return nil, err
	}
	line, inf := v.fieldLine(), math.Inf(1)
	gray := colorimetry.Gray(p.Level / 100)
	top := v.Cut(-sweepScale * line / 2)
	bottom := v.Cut(top + sweepScale*line + 1.5*line)
	first := top + line

	tiles := []tile{{-inf, top, inf, bottom, black}}
	ticks := v.sweepTicks(c)
	for _, t := range ticks {
		long := float64(sweepShortMark)
		if t.Text != "" {
			long = sweepMark
			tiles = append(tiles, v.numeralAbout(t.Text, t.X, first+float64((sweepMark+2)*line), white)...)
		}
		x0, x1 := v.upright(t.X, v.ns(lineWidth))
		tiles = append(tiles, tile{x0, top, x1, v.rowEdge(first + float64(long*line)), white})
	}
	bands := v.tileBands(gray, tiles)
	bands = overlay(bands, -inf, top, c.add)
	bands = overlay(bands, bottom, inf, c.add)

	s := still(bands, v.sweepPatches(c, ticks, p.Level/100, top, bottom)...)
	s.keep = []timing.Extent{{X0: -inf, Y0: top, X1: inf, Y1: bottom}}
	s.Notes = []string{fmt.Sprintf("The sweep goes from %.4g to %.4g MHz, %s; the marks stand at every half MHz, where the frequency is that of the mark.", c.F0/v.perMHz(), c.F1/v.perMHz(), p.Scale)}
	return s, nil
}

// sweepPatches names the sweep about each mark with numerals, as wide as a
// cycle to either side: its frequency is that in the middle.
func (v View) sweepPatches(c chirp, ticks []sweepTick, level, top, bottom float64) (list []Patch) {
	for i, y := range [2][2]float64{{v.down(0), top}, {bottom, v.down(1)}} {
		for _, t := range ticks {
			f := float64(t.MHz * v.perMHz())
			x0, x1 := max(t.X-1/f, c.X0+c.Gate/2), min(t.X+1/f, c.X1-c.Gate/2)
			if t.Text == "" || x1-x0 < 1/f {
				continue
			}
			q := area([]string{"upper ", "lower "}[i]+mhzName(t.MHz), x0, y[0], x1, y[1], colorimetry.Gray(level-c.Peak), "")
			q.Kind, q.Hz, q.To = Packet, t.MHz*1e6, colorimetry.Gray(level+c.Peak)
			list = append(list, q)
		}
		list = append(list, area([]string{"upper left end", "lower left end"}[i], v.across(0), y[0], c.X0, y[1], colorimetry.Gray(level), ""))
	}
	return list
}

var sweepEntries = []Entry{{
	Name: "sweep", Group: GroupDetail,
	Use:     "frequency response without gaps: dips and peaks of filters, traps and peaking show as a change of height along the scale in MHz",
	Source:  "own design",
	Example: "backporch render sweep --from 0.5 --to 5.5 -o sweep.y4m",
	Still:   stillBright,
	New: func() (Pattern, []*Option) {
		p := &Sweep{From: 0.5, Scale: "linear", Level: 50, Amplitude: 70}
		return p, []*Option{
			number("from", &p.From, 0.1, 10, "MHz", "frequency at the left"),
			number("to", &p.To, 0, 30, "MHz", "frequency at the right; 0 for as far as the raster goes, "+fmt.Sprint(nyquistShare)+" of half its clock"),
			choice("scale", &p.Scale, "frequency rises by equal steps (linear) or equal ratios (log)", "linear", "log"),
			number("level", &p.Level, 0, 100, "per cent", "level that the sine stands on, of white"),
			number("amplitude", &p.Amplitude, 1, 100, "per cent", "height of the sine from trough to crest, of white"),
		}
	},
}}
