package deliver

import (
	"context"
	"fmt"
	"math"

	"backporch/internal/ffmpeg"
	"backporch/internal/pixfmt"
	"backporch/pattern"
)

// A comparer measures every picture of a file against the definition.
type comparer struct {
	job     *Job
	def     definition
	before  same
	areas   []area
	patches []PatchProof
	worst   [3]int // difference of any sample
	frames  int
}

// An area is the samples of a patch, by component.
type area [3]struct{ rows, x0, x1 []int }

func newComparer(j *Job) *comparer {
	c := &comparer{job: j, def: definition{job: j}}
	for _, p := range j.Scene.Patches {
		c.areas = append(c.areas, j.area(p))
		c.patches = append(c.patches, PatchProof{
			Name: p.Name, Kind: p.Kind, Level: p.Kind == pattern.Level || p.Kind == pattern.Ramp || p.Kind == pattern.RampDown, Off: -1,
		})
	}
	return c
}

// area returns the samples of luma, and of chroma those that show the patch
// alone: its inside, without the edges.
func (j *Job) area(p pattern.Patch) (a area) {
	const near = 1e-9 // picture heights
	in := p.Interior(j.View)
	m := j.Format.Sampling(j.Raster)
	across, down := m.Step()
	comb := j.Raster.Comb(0)
	inside := func(row int) bool {
		if row >= j.Raster.Height() {
			return false
		}
		s := j.Raster.Span(row)
		return s.Y-s.DY/2 >= in.Y0-near && s.Y+s.DY/2 <= in.Y1+near
	}
	for c := range a {
		step, rows := 1, j.Raster.Height()
		if c > 0 {
			step, rows = across, rows/down
		}
		x0 := max(0, int(math.Ceil((in.X0-comb.X0)/comb.DX-near)))
		x1 := min(comb.N-1, int(math.Floor((in.X1-comb.X0)/comb.DX+near)))
		x0, x1 = (x0+step-1)/step, x1/step
		if x1 < x0 {
			continue
		}
		for k := range rows {
			if top, bottom := m.Between(c, k); inside(top) && inside(bottom) {
				a[c].rows, a[c].x0, a[c].x1 = append(a[c].rows, k), append(a[c].x0, x0), append(a[c].x1, x1)
			}
		}
	}
	return a
}

// compare decodes the whole file.
func (c *comparer) compare(ctx context.Context, tool *ffmpeg.Tool, path, pixels string) error {
	j, l := c.job, c.job.layout()
	w, h := j.Raster.Width, j.Raster.Height()
	return decode(ctx, tool, path, pixels, "", l, w, h, func(n int, raw []byte) error {
		c.frames = n + 1
		j.told(n + 1)
		if c.before.as(raw) && j.Scene.Period <= 1 {
			return nil
		}
		got, err := l.Unpack(raw, w, h)
		if err != nil {
			return fmt.Errorf("frame %d: %w", n, err)
		}
		want, err := c.def.frame(n)
		if err != nil {
			return err
		}
		c.add(want, got)
		return nil
	})
}

// add measures one picture.
func (c *comparer) add(want, got *pixfmt.Codes) {
	for i := range want.Planes {
		w, g := want.Planes[i], got.Planes[i]
		for k := range w {
			if d := distance(w[k], g[k]); d > c.worst[i] {
				c.worst[i] = d
			}
		}
	}
	for i := range c.patches {
		c.patches[i].add(&c.areas[i], want, got, c.job.Target.Tolerance)
	}
}

// add measures the patch in one picture, against that tolerance.
func (p *PatchProof) add(a *area, want, got *pixfmt.Codes, tolerance float64) {
	var off float64
	var mean, meant [3]float64
	for c := range a {
		var n, sum, sumGot, beyond float64
		for i, row := range a[c].rows {
			w, g := want.Row(c, row), got.Row(c, row)
			for x := a[c].x0[i]; x <= a[c].x1[i]; x++ {
				d := float64(distance(w[x], g[x]))
				n, sum, sumGot = n+1, sum+float64(w[x]), sumGot+float64(g[x])
				if d > tolerance {
					beyond++
				}
				p.Worst = max(p.Worst, d)
			}
		}
		// A patch without a sample of a component has not a number there.
		meant[c], mean[c] = sum/n, sumGot/n
		if n > 0 {
			off = max(off, math.Abs(sumGot-sum)/n)
			p.Beyond = max(p.Beyond, 100*beyond/n)
		}
	}
	if off > p.Off {
		p.Off, p.Want, p.Got = off, meant, mean
	}
}

func distance(a, b uint16) int {
	if a > b {
		return int(a - b)
	}
	return int(b - a)
}
