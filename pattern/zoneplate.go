package pattern

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"backporch/colorimetry"
	"backporch/timing"
)

// ZonePlate is a wave whose frequency rises evenly from nothing in the middle
// of the analog picture.
type ZonePlate struct {
	Kind      string  // circular, horizontal (rises to both sides) or vertical (up and down)
	End       float64 // MHz at the side of the shown picture; 0 is the limit of the raster
	Drift     int     // frames in which the wave moves by one cycle; below 0 inward; 0 stands
	Amplitude float64 // per cent of white, peak to peak, about 50 %
}

var zoneKinds = []string{"circular", "horizontal", "vertical"}

// zoneFade is how far above its limit a frequency has faded to gray.
const zoneFade = 1.05

// maxDrift keeps a loop short enough for a file.
const maxDrift = 250

// A zone is a laid-out zone plate: places of a Comb are stretched to those on
// the tube, and the frequency there is Rate times the distance, in cycles a
// picture height.
type zone struct {
	Rate, Stretch float64
	Across, Down  bool
	Peak          float64
	FadeX, FadeY  fade    // over the two parts of the frequency, on the tube
	Turn          float64 // cycles a field
}

// A fade is 1 below From and 0 above To, a raised cosine between.
type fade struct{ From, To float64 }

func (f fade) at(frequency float64) float64 {
	return 1 - rise((frequency-f.From)/(f.To-f.From))
}

// fadeOver returns the fade at a limit: full up to it, gone a little further,
// and in any case at half the clock.
func fadeOver(limit, nyquist float64) fade {
	to := min(float64(zoneFade*limit), nyquist)
	return fade{to / zoneFade, to}
}

// rowLimit returns the finest wave down the picture, in cycles a picture
// height, and half the pitch of the rows, which no wave may pass.
func (v View) rowLimit() (limit, nyquist float64) {
	nyquist = 0.5 / v.Shown.Span(0).DY
	if v.Edge[0] > 0 {
		return nyquistShare * nyquist, nyquist
	}
	return nyquist, nyquist
}

// tubePerMHz is how many cycles of 1 MHz lie in a picture height on the tube.
func (v View) tubePerMHz() float64 { return v.perMHz() / v.stretch() }

// zone checks the options and lays the plate out.
func (p *ZonePlate) zone(v View) (z zone, err error) {
	if !slices.Contains(zoneKinds, p.Kind) {
		return z, fmt.Errorf("kind: %q is none of %s", p.Kind, strings.Join(zoneKinds, ", "))
	}
	if p.Drift == 1 || p.Drift == -1 {
		return z, fmt.Errorf("drift: a cycle in one frame does not look like motion; use 2 frames or more, or 0 to stand still")
	}
	e, perMHz := v.Shown.Shown(), v.tubePerMHz()
	rows, rowNyquist := v.rowLimit()
	z = zone{Stretch: v.stretch(), Across: p.Kind != "vertical", Down: p.Kind != "horizontal", Peak: p.Amplitude / 200,
		FadeX: fadeOver(v.limit()*perMHz, v.Shown.Nyquist().Float64()*perMHz), FadeY: fadeOver(rows, rowNyquist)}
	end, reach := z.FadeX.From, float64(max(-e.X0, e.X1)*v.stretch())
	if !z.Across {
		end, reach = z.FadeY.From, max(-e.Y0, e.Y1)
	}
	if p.End > 0 {
		end = float64(p.End * perMHz)
	}
	z.Rate = end / reach
	if p.Drift != 0 {
		z.Turn = 1 / float64(p.Drift*v.Shown.Scan.Fields)
	}
	return z, nil
}

// paint is a Band's: the middle is a crest when it stands still. A wave that
// drifts outward has its phase go back.
func (z *zone) paint(dst []float64, c colorimetry.Component, x timing.Comb, y timing.Span, t int) {
	if c != colorimetry.Y {
		fill(dst, 0)
		return
	}
	half, peak, begin := z.Rate/2, z.Peak, 0.25-float64(float64(t)*z.Turn)
	if z.Down {
		peak *= z.FadeY.at(math.Abs(float64(y.Y * z.Rate)))
		begin += float64(float64(y.Y*y.Y) * half)
	}
	if !z.Across {
		fill(dst, 0.5+float64(peak*turn(begin)))
		return
	}
	from, to := z.FadeX.From/z.Rate, z.FadeX.To/z.Rate
	for i := range dst {
		at := float64(x.At(i) * z.Stretch)
		p, far := peak, math.Abs(at)
		switch {
		case far >= to || p == 0:
			dst[i] = 0.5
			continue
		case far > from:
			p *= z.FadeX.at(float64(far * z.Rate))
		}
		dst[i] = 0.5 + float64(p*turn(begin+float64(float64(at*at)*half)))
	}
}

// Scene implements Pattern.
func (p *ZonePlate) Scene(v View) (*Scene, error) {
	z, err := p.zone(v)
	if err != nil {
		return nil, err
	}
	s := still([]Band{{Bottom: endless, Uniform: !z.Down, Paint: z.paint}}, v.zonePatches(&z)...)
	if p.Drift != 0 {
		s.Period = max(p.Drift, -p.Drift)
	}
	s.Notes = p.notes(v, &z)
	return s, nil
}

// zonePatches names places of stated frequency: whole MHz along the middle row
// to the right, hundreds of TV lines down from the middle. Each is a cycle
// wide to either side.
func (v View) zonePatches(z *zone) (list []Patch) {
	e := v.Shown.Shown()
	low, high := colorimetry.Gray(0.5-z.Peak), colorimetry.Gray(0.5+z.Peak)
	add := func(name string, kind Kind, hz, x0, y0, x1, y1 float64) {
		list = append(list, Patch{Name: name, Kind: kind, Hz: hz, X0: x0, Y0: y0, X1: x1, Y1: y1, Want: low, To: high})
	}
	thin := 2 * v.Shown.Span(0).DY
	if z.Across {
		y0, y1 := v.rowEdge(-thin), v.rowEdge(thin)
		for mhz := 1.0; ; mhz++ {
			f := float64(mhz * v.tubePerMHz())
			x, w := f/z.Rate/z.Stretch, 1/f/z.Stretch
			if x+w > e.X1 || f > z.FadeX.From {
				break
			}
			add(mhzName(mhz)+" to the right", Packet, mhz*1e6, x-w, y0, x+w, y1)
		}
	}
	if z.Down {
		w := v.ns(lineWidth)
		for lines := 100.0; ; lines += 100 {
			f := lines / 2
			y, h := f/z.Rate, 1/f
			if y+h > e.Y1 || f > z.FadeY.From {
				break
			}
			add(fmt.Sprintf("%v TV lines downward", lines), Line, 0, -w, v.rowEdge(y-h), w, v.rowEdge(y+h))
		}
	}
	return list
}

func (p *ZonePlate) notes(v View, z *zone) (notes []string) {
	e := v.Shown.Shown()
	if z.Across {
		side := float64(z.Rate*max(-e.X0, e.X1)*z.Stretch) / v.tubePerMHz()
		notes = append(notes, fmt.Sprintf("At the side the wave has %.2f MHz; what is %s, fades to gray. Rings anywhere but about the middle are made by player, cable or set.", side, "above "+v.limitText()))
	}
	if z.Down {
		limit, _ := v.rowLimit()
		notes = append(notes, fmt.Sprintf("Up and down the wave has %.0f TV lines at the edge; more than %.0f fade to gray.", 2*z.Rate*max(-e.Y0, e.Y1), 2*limit))
		if v.Shown.Scan.Interlaced() {
			notes = append(notes, "The fine waves at top and bottom twitter: a field has half of the rows.")
		}
	}
	if p.Drift != 0 {
		notes = append(notes, fmt.Sprintf("The loop is seamless after %d frames. %s", max(p.Drift, -p.Drift), flicker))
	}
	return notes
}

var zonePlateEntries = []Entry{{
	Name: "zone-plate", Group: GroupDetail,
	Use:     "response in all directions at once, aliasing of scalers and combs, false rings, colors in fine luma; drifting, what motion does to it",
	Source:  "own design; a sine over the square of the distance (common practice)",
	Example: "backporch render zone-plate --drift 50 --frames 50 -o zone.y4m",
	Still:   stillBright,
	New: func() (Pattern, []*Option) {
		p := &ZonePlate{Kind: "circular", Amplitude: 100}
		return p, []*Option{
			choice("kind", &p.Kind, "frequency rises in all directions, to both sides, or up and down", zoneKinds...),
			number("end", &p.End, 0, 30, "MHz", "frequency at the sides, for vertical at top and bottom, as fine as those MHz across; 0 for the finest that the raster holds"),
			whole("drift", &p.Drift, -maxDrift, maxDrift, "frames", "frames in which the wave moves outward by a cycle, below 0 inward; 0 to stand still"),
			number("amplitude", &p.Amplitude, 1, 100, "per cent", "height of the wave from trough to crest, of white"),
		}
	},
}}
