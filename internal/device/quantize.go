package device

import (
	"fmt"
	"math"

	"backporch/colorimetry"
	"backporch/internal/pixfmt"
	"backporch/pattern/frame"
)

// Quantize returns the picture that the device shows of a 4:4:4 frame on its
// own raster: for each sample the color of the device whose luma and color
// vector on the usual output are nearest, by the distance in mV. A fixed
// palette keeps its order; else the palette is in order of first appearance,
// top row first. It panics on a device that does not show pixels.
func (p *Profile) Quantize(f *frame.Frame) (*pixfmt.Indexed, error) {
	if !p.Pixels() {
		panic("device: Quantize for " + p.Name)
	}
	triples, lines := f.Distinct()
	x := &pixfmt.Indexed{Lines: lines, Rows: make([][]uint16, len(triples))}
	index := make(map[[3]uint8]uint16)
	near := p.nearest()
	for n, t := range triples {
		y, cb, cr := f.Triple(t)
		row := make([]uint16, len(y))
		for i := range row {
			if i > 0 && y[i] == y[i-1] && cb[i] == cb[i-1] && cr[i] == cr[i-1] {
				row[i] = row[i-1]
				continue
			}
			c := near(colorimetry.Signal{Y: y[i], CB: cb[i], CR: cr[i]})
			k, ok := index[c]
			if !ok {
				if p.Color.AtOnce > 0 && len(x.Palette) == p.Color.AtOnce {
					return nil, fmt.Errorf("device %s shows %d colors at once, and the picture needs more", p.Name, p.Color.AtOnce)
				}
				k = uint16(len(x.Palette))
				index[c] = k
				x.Palette = append(x.Palette, c)
			}
			row[i] = k
		}
		x.Rows[n] = row
	}
	return x, nil
}

// nearest returns a function that finds the nearest color, and remembers.
func (p *Profile) nearest() func(colorimetry.Signal) [3]uint8 {
	known := make(map[colorimetry.Signal][3]uint8)
	wire := p.Outputs[0]
	return func(s colorimetry.Signal) [3]uint8 {
		if c, ok := known[s]; ok {
			return c
		}
		best, least := [3]uint8{}, math.Inf(1)
		var from, to [3]int
		r, g, b := s.RGB()
		for i, v := range [3]float64{r, g, b} {
			top := 1<<p.Color.Bits[i] - 1
			// One code to either side of the nearest is as far as the least
			// error can lie in one channel by itself.
			at := int(math.Round(v * float64(top)))
			from[i], to[i] = max(0, at-1), min(top, at+1)
			if from[i] > top || to[i] < 0 {
				from[i], to[i] = min(from[i], top), max(to[i], 0)
			}
		}
		for r := from[0]; r <= to[0]; r++ {
			for g := from[1]; g <= to[1]; g++ {
				for b := from[2]; b <= to[2]; b++ {
					c := [3]uint8{p.code8(0, r), p.code8(1, g), p.code8(2, b)}
					if d := distance(wire, p.level(c), s); d < least {
						best, least = c, d
					}
				}
			}
		}
		known[s] = best
		return best
	}
}

// code8 returns the code of 8 bits that shows level n of a channel.
func (p *Profile) code8(channel, n int) uint8 {
	top := 1<<p.Color.Bits[channel] - 1
	return uint8((n*255 + top/2) / top)
}

// distance is the square of the distance between two signals on a wire, in mV.
func distance(f *colorimetry.Family, a, b colorimetry.Signal) float64 {
	if f.Interface == colorimetry.ComponentRGB {
		r, g, b1 := f.RGB(a)
		r2, g2, b2 := f.RGB(b)
		return sum3(float64(r-r2), float64(g-g2), float64(b1-b2))
	}
	u, v := f.Vector(a)
	u2, v2 := f.Vector(b)
	return sum3(float64(f.Luma(a)-f.Luma(b)), float64(u-u2), float64(v-v2))
}

func sum3(x, y, z float64) float64 { return float64(x*x) + float64(y*y) + float64(z*z) }
