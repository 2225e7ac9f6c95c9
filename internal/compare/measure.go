package compare

import (
	"math"

	"backporch/colorimetry"
	"backporch/internal/tube"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// A Reading is what a set makes of an area of one level.
type Reading struct {
	Signal colorimetry.Signal // mean of what the set decodes, 0 black and 1 white
	Drive  [3]float64         // mean of R', G' and B', before the guns clip
	Light  [3]float64         // mean light of the guns, cd/m2 of white
	Spread float64            // half the range of hue over the lines, degrees; 0 for a neutral area
	Nits   float64            // luminance, cd/m2
}

// An area is which samples and rows of a frame show a patch, away from its
// edges.
type area struct {
	rows []int
	from []int // for each of rows
	to   []int
}

// Parts of a patch that are measured: its middle third across, where neither
// edges nor the filters of encoder and decoder reach unless the patch is
// narrower than they are long, and its middle half down, where combs and delay
// lines see no neighbor.
const (
	partAcross = 1.0 / 3
	partDown   = 1.0 / 2
)

// areaOf finds the interior of a patch on a lattice. ok is false where the
// lattice shows nothing of it.
func areaOf(r *timing.Raster, p pattern.Patch) (a area, ok bool) {
	x, dx := (p.X0+p.X1)/2, (p.X1-p.X0)*partAcross/2
	y, dy := (p.Y0+p.Y1)/2, (p.Y1-p.Y0)*partDown/2
	add := func(j int) {
		c := r.Comb(j)
		from := int(math.Ceil((x - dx - c.X0) / c.DX))
		to := int(math.Floor((x+dx-c.X0)/c.DX)) + 1
		if to <= from {
			from = int(math.Round((x - c.X0) / c.DX))
			to = from + 1
		}
		from, to = max(from, 0), min(to, c.N)
		if from < to {
			a.rows, a.from, a.to = append(a.rows, j), append(a.from, from), append(a.to, to)
		}
	}
	best, least := -1, math.Inf(1)
	for j := range r.Lines {
		d := math.Abs(r.Span(j).Y - y)
		if d <= dy {
			add(j)
		}
		if d < least {
			best, least = j, d
		}
	}
	if len(a.rows) == 0 && best >= 0 && least <= r.Span(best).DY {
		add(best)
	}
	return a, len(a.rows) > 0
}

// read measures an area of a decoded frame. The mean over the samples of a row
// is taken of the signal, that over the rows of the light: the eye sees lines
// side by side as one.
func read(s *tube.Set, f *frame.Frame, a area) Reading {
	var r Reading
	var mean colorimetry.Signal
	hues := make([]float64, 0, len(a.rows))
	for k, j := range a.rows {
		row := colorimetry.Signal{
			Y:  meanOf(f.Planes[0].Row(j)[a.from[k]:a.to[k]]),
			CB: meanOf(f.Planes[1].Row(j)[a.from[k]:a.to[k]]),
			CR: meanOf(f.Planes[2].Row(j)[a.from[k]:a.to[k]]),
		}
		mean.Y, mean.CB, mean.CR = mean.Y+row.Y, mean.CB+row.CB, mean.CR+row.CR
		light := s.Guns(row)
		for g := range light {
			r.Light[g] += light[g]
		}
		if math.Hypot(row.CB, row.CR) > neutral {
			_, hue := vector(f.Raster, row)
			hues = append(hues, hue)
		}
	}
	n := float64(len(a.rows))
	r.Signal = colorimetry.Signal{Y: mean.Y / n, CB: mean.CB / n, CR: mean.CR / n}
	r.Drive[0], r.Drive[1], r.Drive[2] = r.Signal.RGB()
	for g := range r.Light {
		r.Light[g] /= n
	}
	r.Nits = s.Luminance(r.Light)
	if len(hues) == len(a.rows) {
		_, center := vector(f.Raster, r.Signal)
		lo, hi := 0.0, 0.0
		for _, h := range hues {
			d := math.Remainder(h-center, 360)
			lo, hi = min(lo, d), max(hi, d)
		}
		r.Spread = (hi - lo) / 2
	}
	return r
}

func meanOf(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

// neutral is the amplitude of CB and CR below which an area counts as gray:
// what is left of the subcarrier there is less than a tenth of this.
const neutral = 0.02

// vector returns the color of a signal as a vectorscope of the raster's system
// shows it: amplitude in parts of the luma excursion, and degrees from
// +(B'-Y').
func vector(r *timing.Raster, s colorimetry.Signal) (amplitude, degrees float64) {
	family := colorimetry.CompositeJ
	if r.Scan.System == timing.System625 {
		family = colorimetry.PAL
	}
	u, v := family.Vector(s)
	return math.Hypot(float64(u), float64(v)) / float64(family.White-family.Black), math.Atan2(float64(v), float64(u)) * 180 / math.Pi
}
