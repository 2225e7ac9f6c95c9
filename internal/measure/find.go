package measure

import (
	"math"
	"slices"

	"backporch/pattern"
	"backporch/timing"
)

// Find tells where in a capture the picture of a scene lies, which the player
// was given as a file on raster r. It needs no levels: any gain, setup, range,
// gamma or matrix will do.
//
// Likely places are tried first: sample for sample, the whole on the whole, and
// the bright part on the bright part. If none fits, profiles of edges, across
// and down, are searched for scale and shift. What fits best is then moved
// until the difference is least.
func Find(p *Picture, s *pattern.Scene, v pattern.View, r *timing.Raster) Place {
	if p.Raster != nil {
		return Nominal(p.Raster)
	}
	d, err := gridOf(s, r, 1)
	if err != nil || p.Width < leastSize || p.Height < leastSize {
		return unknown(p, r)
	}
	at := unknown(p, r)
	if d.deviation(0) >= quiet {
		at, _ = newFinder(p, d, s, r, false).find()
	}
	if !at.XKnown && d.varies(1, 2, true) || !at.YKnown && d.varies(1, 2, false) {
		if by, _ := newFinder(p, d, s, r, true).find(); !at.XKnown && by.XKnown || !at.YKnown && by.YKnown {
			return by
		}
	}
	return at
}

// leastSize is the least number of samples and rows that are searched.
const leastSize = 32

// unknown is the place of a picture that has nothing to be found by.
func unknown(p *Picture, r *timing.Raster) Place {
	at := likely(p, r)[0].place(r)
	at.SigmaX, at.SigmaY = priorShift, priorShift
	return at
}

// likely returns places that captures have without a fault, the most usual
// first. What the raster's samples and rows are to those of the capture is
// taken from their numbers.
func likely(p *Picture, r *timing.Raster) []lattice {
	w, h := float64(p.Width), float64(p.Height)
	rw, rh := float64(r.Width), float64(r.Height())
	across := [][2]float64{whole(w, rw)}
	if cut := rw - w; cut > 0 && cut <= 20 { // 704 of 720: ITU-R BT.601 samples without the margins, as discs hold them
		across = append([][2]float64{{math.Floor(cut / 2), 1}}, across...)
	}
	if w == rw {
		across = [][2]float64{{0, 1}}
	}
	down := [][2]float64{whole(h, rh)}
	switch extra := h - rh; {
	case h == rh:
		down = [][2]float64{{0, 1}}
	case math.Abs(extra) <= 8: // 486 rows for 480 and the like: more or fewer rows at both ends
		down = append([][2]float64{{-math.Ceil(extra / 2), 1}, {-math.Floor(extra/2) - 2, 1}}, down...)
	}
	var list []lattice
	for _, y := range down {
		for _, x := range across {
			list = append(list, lattice{x[0], x[1], y[0], y[1]})
		}
	}
	// Rows fill the height and samples are square on the screen, in the middle:
	// pillars on a wide screen.
	if shape := r.PixelShape().Float64(); w != rw || h != rh {
		dv := rh / h
		du := dv / shape // samples of the raster to a square sample
		list = append(list, lattice{(rw-1)/2 - float64(du*(w-1)/2), du, whole(h, rh)[0], dv})
		// and the same if the whole row were four by three
		du = rw / (h * 4 / 3)
		list = append(list, lattice{(rw-1)/2 - float64(du*(w-1)/2), du, whole(h, rh)[0], dv})
	}
	return list
}

// whole lays n samples on all of m: outer edges on outer edges.
func whole(n, m float64) [2]float64 {
	d := m / n
	return [2]float64{(d - 1) / 2, d}
}

// quiet is the standard deviation below which a plane has no content: a code of
// 8 bits.
const quiet = 0.004

// A finder holds a capture and its definition, whole and reduced.
type finder struct {
	p      *Picture
	s      *pattern.Scene
	r      *timing.Raster
	plane  int // of the capture that is compared
	planes []int

	c, d       *grid // whole; d framed by black where the capture has more than the picture
	padX, padY int
	rim        rim     // on the whole grid
	small      *fitter // on reduced grids
	quick      *fitter // as small, with fewer samples
	fine       *fitter
	finest     *fitter // with more samples of the definition, for places between its own
	to         reduction
	tiny       *fitter // where fine detail is gone and broad shapes pull from afar; made when needed
	tried      []trial
	likely     []lattice
}

// A trial is a place on the reduced grids, and how well it fits.
type trial struct {
	*fit
	worth float64 // score less what speaks against the place itself
}

// newFinder compares luma, or color where luma says nothing. d is shared.
func newFinder(p *Picture, d *grid, s *pattern.Scene, r *timing.Raster, color bool) *finder {
	f := &finder{p: p, s: s, r: r, d: d, likely: likely(p, r), rim: rim{doubtX: doubtWide, doubtY: doubtHigh}}
	if !color {
		f.c, f.planes = gridOfLuma(p), []int{0}
		f.boxes()
	} else {
		f.c, f.planes, f.plane = gridOfChroma(p), []int{1, 2}, 1
		if f.c.deviation(2) > f.c.deviation(1) {
			f.plane = 2
		}
	}
	f.frame()
	// About 360 by 240 samples hold everything but fine detail.
	by := func(n, to int) int { return max(1, int(math.Round(float64(n)/float64(to)))) }
	f.to = reduction{by(p.Width, 360), by(p.Height, 240), by(r.Width, 360), by(r.Height(), 240)}
	f.small = newFitter(f.c.reduced(f.to.cx, f.to.cy), f.d.reduced(f.to.dx, f.to.dy), f.plane, 10, 16)
	f.quick = newFitter(f.small.c, f.small.d, f.plane, 20, 30)
	f.fine = newFitter(f.c, f.d, f.plane, max(1, p.Height/40), max(1, p.Width/40))
	k := 1 / float64(f.to.dx)
	f.fine.rim = f.rim
	f.small.rim = rim{f.rim.x0 * k, f.rim.x1 * k, f.rim.y0 / float64(f.to.dy), f.rim.y1 / float64(f.to.dy), f.rim.doubtX * k, f.rim.doubtY / float64(f.to.dy)}
	f.quick.rim = f.small.rim
	f.small.stiff, f.quick.stiff, f.fine.stiff = true, true, true
	return f
}

// deviation is the standard deviation of a plane.
func (g *grid) deviation(c int) float64 {
	if g.rows[c] == nil {
		return 0
	}
	var n, sum, squares float64
	for j := 0; j < g.h; j += 1 + g.h/200 {
		for _, v := range g.rows[c][j] {
			n++
			sum += float64(v)
			squares += float64(v) * float64(v)
		}
	}
	return math.Sqrt(max(squares/n-(sum/n)*(sum/n), 0))
}

// Black that may lie around the picture, as a share of it, and how far beyond
// its edge it may begin in samples and rows: blanking of players and of 704
// samples in 720.
const (
	framePart = 0.25
	doubtWide = 12
	doubtHigh = 3
)

// frame puts black around the definition.
func (f *finder) frame() {
	f.padX, f.padY = int(framePart*float64(f.d.w)), int(framePart*float64(f.d.h))
	x, y := float64(f.padX), float64(f.padY)
	f.rim.x0, f.rim.x1 = x-0.5, x+float64(f.d.w)-0.5
	f.rim.y0, f.rim.y1 = y-0.5, y+float64(f.d.h)-0.5
	f.d = f.d.framed(f.padX, f.padY, int(f.rim.doubtX), int(f.rim.doubtY))
	for i := range f.likely {
		f.likely[i].U0 += x
		f.likely[i].V0 += y
	}
}

// boxes finds where the capture has black around what is bright, and adds the
// places at which the bright parts cover each other. If the definition is bright
// up to its edges, the edge of the black is that of the picture.
func (f *finder) boxes() {
	black := f.black()
	cx0, cy0, cx1, cy1 := f.c.inner(0, black, 0.01)
	dx0, dy0, dx1, dy1 := f.d.inner(0, 0, 0.01)
	if cx1-cx0 < f.c.w/4 || cy1-cy0 < f.c.h/4 || dx1 <= dx0 || dy1 <= dy0 {
		return
	}
	const few = 4 // samples or rows: less is the edge itself
	if (cx0 > few || f.c.w-cx1 > few) && (dx0 < few && f.d.w-dx1 < few) {
		f.rim.doubtX = 0
	}
	if (cy0 > few || f.c.h-cy1 > few) && (dy0 < few && f.d.h-dy1 < few) {
		f.rim.doubtY = 0
	}
	box := func(c0, c1, n, d0, d1 int, usual float64) [2]float64 {
		d := float64(d1-d0) / float64(c1-c0)
		switch before, after := c0 > few, n-c1 > few; {
		case before && !after: // black on one side: shifted, and cut off on the other
			return [2]float64{float64(d0) - 0.5 - float64(usual*(float64(c0)-0.5)), usual}
		case after && !before:
			return [2]float64{float64(d1) - 0.5 - float64(usual*(float64(c1)-0.5)), usual}
		}
		return [2]float64{float64(d0) - 0.5 - float64(d*(float64(c0)-0.5)), d}
	}
	x := box(cx0, cx1, f.c.w, dx0, dx1, f.likely[0].DU)
	y := box(cy0, cy1, f.c.h, dy0, dy1, f.likely[0].DV)
	n := len(f.likely)
	f.likely = append(f.likely, lattice{x[0], x[1], y[0], y[1]})
	for _, m := range f.likely[:min(n, 2)] {
		f.likely = append(f.likely, lattice{x[0], x[1], m.V0, m.DV}, lattice{m.U0, m.DU, y[0], y[1]})
	}
}

// black is the level of the capture's rim, if that is dark, else 0.
func (f *finder) black() float32 {
	var rim []float32
	for _, j := range []int{0, 1, f.c.h - 2, f.c.h - 1} {
		rim = append(rim, f.c.rows[0][j]...)
	}
	for _, row := range f.c.rows[0] {
		rim = append(rim, row[0], row[1], row[f.c.w-2], row[f.c.w-1])
	}
	slices.Sort(rim)
	// Pillars cover most of the rim; setup and a squeezed range raise black by less
	// than a tenth.
	end, _ := slices.BinarySearch(rim, rim[len(rim)/8]+0.06)
	level := rim[end/2]
	if level < -0.1 || level > 0.12 {
		return 0
	}
	return level
}

// A reduction is how many samples and rows of the capture, and of the
// definition, make one.
type reduction struct{ cx, cy, dx, dy int }

// of turns a place on the grids into that on the reduced ones, and back is the
// inverse.
func (r reduction) of(m lattice) lattice {
	u := m.U0 + float64(m.DU*float64(r.cx-1)/2)
	v := m.V0 + float64(m.DV*float64(r.cy-1)/2)
	return lattice{
		(u - float64(r.dx-1)/2) / float64(r.dx), m.DU * float64(r.cx) / float64(r.dx),
		(v - float64(r.dy-1)/2) / float64(r.dy), m.DV * float64(r.cy) / float64(r.dy),
	}
}

func (r reduction) back(m lattice) lattice {
	du, dv := m.DU*float64(r.dx)/float64(r.cx), m.DV*float64(r.dy)/float64(r.cy)
	u := m.U0*float64(r.dx) + float64(r.dx-1)/2
	v := m.V0*float64(r.dy) + float64(r.dy-1)/2
	return lattice{u - float64(du*float64(r.cx-1)/2), du, v - float64(dv*float64(r.cy-1)/2), dv}
}

func (f *finder) reduce(m lattice) lattice  { return f.to.of(m) }
func (f *finder) enlarge(m lattice) lattice { return f.to.back(m) }

// try refines a place of the reduced grids and keeps it.
func (f *finder) try(m lattice, passes int) trial {
	t := trial{fit: f.quick.refine(m, nil, passes, 3)}
	t.worth = f.worth(t.fit)
	if len(f.tried) == 0 || t.worth > f.best().worth-0.1 {
		t.fit = f.small.refine(t.m, t.fit, 3, 2)
		t.worth = f.worth(t.fit)
	}
	f.tried = append(f.tried, t)
	return t
}

// worth is the score less what makes a place unlikely: parts of the capture that
// show nothing, and a distance from the usual places. Where two places fit alike
// the more usual one is taken.
func (f *finder) worth(t *fit) float64 {
	nearest := math.Inf(1)
	for _, m := range f.likely {
		nearest = min(nearest, f.apart(t.m, f.reduce(m)))
	}
	odd := math.Abs(math.Log((t.m.DU / t.m.DV) * (f.reduce(f.likely[0]).DV / f.reduce(f.likely[0]).DU)))
	return t.fitness() - 0.3*(1-min(t.within, 1)) - 0.02*min(nearest/20, 1) - 0.02*min(odd/0.1, 1) - f.strange(t)
}

// strange is what speaks against levels that no fault of a chain gives: the steps
// of a staircase fit each other.
func (f *finder) strange(t *fit) float64 {
	if f.plane > 0 {
		return 0
	}
	beyond := func(v, least, most float64) float64 { return max(least-v, v-most, 0) }
	return min(0.5*(beyond(t.levels[0], -0.1, 0.15)+beyond(t.levels[1], 0.6, 1.5)), 0.3)
}

// apart is how far two places of the reduced grids differ at the worst edge, in
// samples or rows.
func (f *finder) apart(a, b lattice) float64 {
	x, y := f.apartXY(a, b)
	return max(x, y)
}

func (f *finder) apartXY(a, b lattice) (x, y float64) {
	w, h := float64(f.small.c.w-1), float64(f.small.c.h-1)
	x = max(math.Abs(a.U0-b.U0), math.Abs(a.U0-b.U0+float64(w*(a.DU-b.DU))))
	y = max(math.Abs(a.V0-b.V0), math.Abs(a.V0-b.V0+float64(h*(a.DV-b.DV))))
	return x, y
}
