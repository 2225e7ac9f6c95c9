package composite

import (
	"math"

	"backporch/timing"
)

// A grid is where the lines of a signal and the rows of a picture on its
// lattice meet.
type grid struct {
	wire     *Wire
	base     Timebase
	layout   structure
	shape    shape
	lattices map[timing.Ratio]*timing.Raster
}

func newGrid(w *Wire, s *timing.Scan) grid {
	base := w.Timebase(s)
	return grid{w, base, structureOf(base.Scan), shapeOf(s.System), make(map[timing.Ratio]*timing.Raster)}
}

// margin is the samples of picture beyond the edges of blanking.
const margin = 2

// perMicrosecond is the rate in samples a microsecond.
func (g *grid) perMicrosecond() float64 { return g.base.Rate.Float64() / 1e6 }

// lead is how many samples after the first of a line its row of the lattice
// begins, at least.
func (g *grid) lead() int {
	return int(math.Floor((g.shape.pictureFrom-g.shape.pictureEdge/2)*g.perMicrosecond())) - margin
}

// Lattice returns the raster on which a picture must be sampled, in 4:4:4, to
// be frame n. Its rows are the picture lines of the system, blanking edges
// included. All frames have the same where a frame is a whole number of
// samples.
func (g *grid) Lattice(n int) *timing.Raster {
	s := g.base.Scan
	after := g.base.After(int64(n) * int64(s.Lines))
	if r, ok := g.lattices[after]; ok {
		return r
	}
	period := s.LinePeriod().Float64()
	end := int(math.Ceil((period-g.shape.pictureTo+g.shape.pictureEdge/2)*g.perMicrosecond())) + margin
	r := &timing.Raster{
		Name: g.wire.Name, Scan: s, Clock: g.base.Rate,
		Start: after.Add(timing.Int(int64(g.lead()))), Free: true,
		Width: end - g.lead(), Lines: g.layout.pictureLines(),
	}
	g.lattices[after] = r
	return r
}

// rowAt returns at which sample of a line of frame n its row of the lattice
// begins: with the first that lies as long after its 0H as that of line 1 does,
// or longer.
func (g *grid) rowAt(n, line int) int {
	origin := int64(n) * int64(g.base.Scan.Lines)
	from := timing.Int(int64(line - 1)).Mul(g.base.SamplesPerLine())
	first := g.base.First(origin+int64(line)-1) - g.base.First(origin)
	return g.lead() + int(from.Ceil()-first)
}
