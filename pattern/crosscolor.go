package pattern

import (
	"fmt"
	"math"

	"backporch/colorimetry"
	"backporch/timing"
)

// CrossColor is gratings of luma at and about the subcarrier, upright and
// slanted.
type CrossColor struct {
	Amplitude float64 // per cent of white, peak to peak, about 50 %
	Carry     bool    // slanted gratings go on with the subcarrier from frame to frame
}

// crossOffsets are the frequencies, MHz from the subcarrier.
var crossOffsets = [...]float64{-1, -0.5, 0, 0.5}

// A grating is a packet of luma. Upright, it begins every line with phase
// zero. Slanted, its phase on each line and frame is that of the subcarrier:
// at its middle it goes through the same phase of the subcarrier everywhere.
type grating struct {
	packet
	Slanted bool
	carrier carrier
	offset  float64 // cycles a picture height more than the subcarrier
}

// A carrier is the phase of the subcarrier of a scan, counted in cycles from
// 0H of line 1 of frame 0.
type carrier struct {
	scan *timing.Scan
	// Cycles a picture height of a Comb, and at its middle, the whole ones left out.
	perHeight, middle float64
	carry             bool
	sequence          int64 // frames until the phase is the same again
}

func (v View) carrier(carry bool) carrier {
	s := v.Shown.Scan
	mhz := s.System.Subcarrier.Div(timing.Int(1_000_000))
	c := carrier{scan: s, perHeight: mhz.Div(s.System.HeightsPerMicrosecond()).Float64(),
		middle: part(mhz.Mul(v.middle())), carry: carry, sequence: 1}
	if carry {
		c.sequence = s.Cycles.Mul(timing.Int(int64(s.Lines))).Den
	}
	return c
}

// part returns what is left of a number without the whole part.
func part(r timing.Ratio) float64 { return timing.R(r.Num%r.Den, r.Den).Float64() }

// lineOf returns the analog line at y; it takes the field from the place, so
// that it does not need the time.
func (c carrier) lineOf(y float64) int64 {
	s := c.scan.System
	at := s.Middle.Float64() + float64(y*s.Height.Float64())
	n := math.Round(at)
	if c.scan.Interlaced() && math.Abs(at-n) > 0.25 {
		n = math.Round(at + s.Offset.Float64())
	}
	return int64(n)
}

// at0H returns the phase at 0H of the line at y, at field time t.
func (c carrier) at0H(y float64, t int) float64 {
	lines := c.lineOf(y) - 1
	if c.carry {
		lines += int64(t/c.scan.Fields) % c.sequence * int64(c.scan.Lines)
	}
	// Num and lines are below 2^21 and 2^12: no overflow.
	return part(timing.R(c.scan.Cycles.Num*lines, c.scan.Cycles.Den))
}

// add adds the grating to a row at y and field time t.
func (g *grating) add(dst []float64, x timing.Comb, y timing.Span, t int) {
	if !g.Slanted {
		g.packet.add(dst, x)
		return
	}
	begin := g.carrier.middle + g.carrier.at0H(y.Y, t)
	middle := (g.X0 + g.X1) / 2
	for i, at := range g.places(x, len(dst)) {
		cycles := begin + float64(at*g.carrier.perHeight) + float64((at-middle)*g.offset)
		dst[i] += float64(float64(g.Peak*g.gate(at)) * turn(cycles))
	}
}

// Scene implements Pattern.
func (p *CrossColor) Scene(v View) (*Scene, error) {
	if err := swing("amplitude", 0.5, p.Amplitude/100); err != nil {
		return nil, err
	}
	k := v.carrier(p.Carry)
	fsc := v.Shown.Scan.System.Subcarrier.Float64() / 1e6
	gray := row{First: colorimetry.Gray(0.5)}
	bands := []Band{gray.band(endless)}
	var patches []Patch
	slot, rim := 1/float64(len(crossOffsets)), v.ns(600)
	for q, slanted := range []bool{false, true} {
		top, bottom := v.down(0.06+0.47*float64(q)), v.down(0.47+0.47*float64(q))
		var list []grating
		for i, offset := range crossOffsets {
			mhz := fsc + offset
			x0, x1 := v.across(slot*float64(i))+rim, v.across(slot*float64(i+1))-rim
			g := grating{packet: v.packet(x0, mhz, int(math.Floor(float64((x1-x0)*mhz*v.perMHz()))), p.Amplitude/200),
				Slanted: slanted, carrier: k, offset: float64(offset * v.perMHz())}
			q := g.patch(crossName(offset, slanted), v, top, bottom, 0.5, mhz)
			if q.Absent == "" {
				list = append(list, g)
			}
			patches = append(patches, q)
		}
		bands = overlayRows(bands, top, bottom, !slanted, func(dst []float64, x timing.Comb, y timing.Span, t int) {
			for i := range list {
				list[i].add(dst, x, y, t)
			}
		})
	}
	between := area("gray between", v.across(0), v.down(0.47), v.across(1), v.down(0.53), gray.First, "")
	s := still(bands, append(patches, between)...)
	s.Period = int(k.sequence)
	s.Notes = p.notes(v, k)
	return s, nil
}

// crossName names a grating.
func crossName(offset float64, slanted bool) string {
	name := "fsc"
	switch {
	case offset < 0:
		name = fmt.Sprintf("fsc - %v MHz", -offset)
	case offset > 0:
		name = fmt.Sprintf("fsc + %v MHz", offset)
	}
	if slanted {
		return "slanted " + name
	}
	return "upright " + name
}

func (p *CrossColor) notes(v View, k carrier) []string {
	notes := []string{"The picture is gray: every color in it is luma that the set takes for chroma, and on a Y/C or component input there must be none."}
	if v.lines625() {
		notes = append(notes, "Slanted gratings (below) go with the subcarrier from line to line, as chroma does, and pass a comb as chroma: color of U; that of V changes sign on every line. Upright ones (above) shift against it by a quarter of a cycle a line.")
	} else {
		notes = append(notes, "Slanted gratings (below) go with the subcarrier from line to line, as chroma does: color remains behind traps and combs alike. Upright ones (above) are alike on all lines: where the subcarrier turns half a cycle a line, a comb removes their color and a trap does not.")
	}
	full := v.carrier(true).sequence
	switch {
	case full == 1:
	case p.Carry:
		notes = append(notes, fmt.Sprintf("The subcarrier takes %d frames until it begins the same again: play the video of %d frames in a loop. A still picture of it changes its colors from frame to frame.", full, full))
	default:
		notes = append(notes, "Every frame is the same: as the subcarrier is not, the colors of the slanted gratings change from frame to frame. "+flicker)
	}
	return append(notes, "Which color it is depends on where in its sequence the player begins.")
}

var crossColorEntries = []Entry{{
	Name: "cross-color", Group: GroupColor,
	Use:     "cross-color on composite inputs: what trap or comb leave of luma near the subcarrier; none of it may show on other inputs",
	Source:  "own design; subcarrier and its phase on each line SMPTE 170M-2004 clause 11, ITU-R BT.1700 (2005) Annex 1 Part B table 2",
	Example: "backporch render cross-color --frames 4 -o crosscolor.y4m",
	New: func() (Pattern, []*Option) {
		p := &CrossColor{Amplitude: 60, Carry: true}
		return p, []*Option{
			number("amplitude", &p.Amplitude, 1, 100, "per cent", "height of the gratings from trough to crest, of white"),
			toggle("carry", &p.Carry, "slanted gratings go on with the subcarrier from frame to frame, so that their color stands; false repeats one frame"),
		}
	},
}}
