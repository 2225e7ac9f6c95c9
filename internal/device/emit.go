package device

import (
	"math"

	"backporch/colorimetry"
	"backporch/internal/pixfmt"
	"backporch/pattern/frame"
	"backporch/timing"
)

// Emit returns what the output carries of a picture on another lattice of the
// same scan, in 4:4:4: 0 black, 1 white, before the levels of the output. Each
// pixel is held until the next; a sample is the mean over its own duration.
// Outside the picture, and on lines that it does not have, there is black.
func (p *Profile) Emit(x *pixfmt.Indexed, from, r *timing.Raster) *frame.Frame {
	colors := p.signals(x)
	shows := make(map[timing.Line]int32, len(x.Lines))
	for j, l := range from.Lines {
		shows[l] = x.Lines[j]
	}
	type key struct {
		row  int32
		comb timing.Comb
	}
	f := &frame.Frame{Raster: r, Sampling: frame.S444}
	done := make(map[key]int32)
	lines := make([]int32, r.Height())
	pixels := from.Comb(0)
	for j, l := range r.Lines {
		row, ok := shows[l]
		if !ok {
			row = -1
		}
		k := key{row, r.Comb(j)}
		n, ok := done[k]
		if !ok {
			n = int32(len(f.Planes[0].Rows))
			done[k] = n
			var rows [3][]float64
			for c := range rows {
				rows[c] = make([]float64, r.Width)
				if row >= 0 {
					hold(rows[c], k.comb, x.Rows[row], pixels, colors, colorimetry.Component(c))
				}
				f.Planes[c].Rows = append(f.Planes[c].Rows, rows[c])
			}
		}
		lines[j] = n
	}
	for c := range f.Planes {
		f.Planes[c].Lines = lines
	}
	return f
}

// signals returns what each color of the palette is on the output.
func (p *Profile) signals(x *pixfmt.Indexed) []colorimetry.Signal {
	list := make([]colorimetry.Signal, len(x.Palette))
	var levels [3][]float64
	for i, c := range x.Palette {
		if len(p.Color.Fixed) > 0 {
			list[i] = p.Color.Fixed[i].Signal
			continue
		}
		var v [3]float64
		for k, code := range c {
			if levels[k] == nil {
				levels[k] = p.Color.table(k)
			}
			top := len(levels[k]) - 1
			v[k] = levels[k][(int(code)*top+127)/255]
		}
		list[i] = colorimetry.FromRGB(v[0], v[1], v[2])
	}
	return list
}

// hold fills dst with the means of a row of held pixels over the durations of
// dst's samples. A pixel lasts from half a period before its place to half a
// period after it.
func hold(dst []float64, x timing.Comb, row []uint16, pixels timing.Comb, colors []colorimetry.Signal, c colorimetry.Component) {
	level := func(i int) float64 {
		if i < 0 || i >= len(row) {
			return 0
		}
		return colors[row[i]].Of(c)
	}
	for i := range dst {
		// Both ends of the sample, in pixels from the left edge of the first.
		a := (x.At(i)-x.DX/2-pixels.X0)/pixels.DX + 0.5
		b := (x.At(i)+x.DX/2-pixels.X0)/pixels.DX + 0.5
		first, last := int(math.Floor(a)), int(math.Floor(b))
		if level(first) == level(last) && last-first <= 1 {
			dst[i] = level(first) // to the last bit
			continue
		}
		sum := 0.0
		for k := first; k <= last; k++ {
			sum += float64(level(k) * (min(b, float64(k+1)) - max(a, float64(k))))
		}
		dst[i] = sum / (b - a)
	}
}
