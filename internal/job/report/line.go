package report

import (
	"errors"

	"backporch/internal/geometry"
	"backporch/internal/job"
)

// LineMM is the height of a scan line on the glass, mm, where the size of the
// screen is known: with the readings, or with the set.
func (g *Given) LineMM(m *job.Measurement) (float64, error) {
	height := g.pictureMM(m)
	switch {
	case height == 0:
		return 0, errors.New("how wide a line is follows from the size of the screen, which is not known; give it with --screen, or with `backporch job set --size`")
	case g.Lines == 0:
		return 0, errors.New("how wide a line is follows from the raster, whose lines are not known; read in mm")
	}
	return geometry.LineMM(height, g.Lines), nil
}
