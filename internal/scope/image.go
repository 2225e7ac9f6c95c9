package scope

import (
	"image"
	"image/color"
	stddraw "image/draw"
	"runtime"
	"sync"
	"sync/atomic"

	"backporch/internal/draw"
)

// Image returns the picture as pixels: the same on every machine.
func (p *Picture) Image() *image.RGBA {
	v := draw.New(p.Width, p.Height, paper)
	for _, it := range p.items {
		switch {
		case it.area != nil:
			v.Fill(it.area.r, it.area.c)
		case it.text != nil:
			v.Text(it.text.box, it.text.text, it.text.st)
		case it.stroke != nil:
			s := it.stroke
			spot := newSpot(s.box.Dx(), s.box.Dy(), s.half, true)
			for _, path := range s.paths {
				spot.path(path, 0)
			}
			spot.outline().paint(v.Image(), s.box, s.c)
		case it.trace != nil:
			it.trace.mask().paint(v.Image(), it.trace.box, ink)
		}
	}
	return v.Image()
}

// paint puts color over a box, where the mask is dark.
func (m *mask) paint(dst *image.RGBA, box image.Rectangle, c color.RGBA) {
	alpha := &image.Alpha{Pix: m.alpha, Stride: m.w, Rect: image.Rect(0, 0, m.w, m.h)}
	stddraw.DrawMask(dst, box, image.NewUniform(c), image.Point{}, alpha, image.Point{}, stddraw.Over)
}

// A drawer is a beam or a spot.
type drawer interface {
	path(p []point, weight int64)
	mask() *mask
}

// mask draws all paths, on several cores: times add up and covers do not
// depend on the order.
func (t *traceItem) mask() *mask {
	workers := min(runtime.GOMAXPROCS(0), 4, max(1, len(t.paths)/8))
	screens := make([]drawer, workers)
	var next atomic.Int64
	var wg sync.WaitGroup
	for k := range screens {
		wg.Go(func() {
			if t.sweep {
				screens[k] = newBeam(t.box.Dx(), t.box.Dy(), t.half)
			} else {
				screens[k] = newSpot(t.box.Dx(), t.box.Dy(), t.half, false)
			}
			for {
				i := int(next.Add(1)) - 1
				if i >= len(t.paths) {
					return
				}
				screens[k].path(t.paths[i], int64(t.weights[i]))
			}
		})
	}
	wg.Wait()
	for _, o := range screens[1:] {
		switch first := screens[0].(type) {
		case *beam:
			first.add(o.(*beam))
		case *spot:
			first.add(o.(*spot))
		}
	}
	return screens[0].mask()
}
