package measure

import (
	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"
)

// A Picture is a captured picture, or the mean of several, in the samples of the
// capture: Y' 0 at black and 1 at white, CB and CR within ±0.5, as the codes of
// the capture say it.
type Picture struct {
	Width, Height int
	Across, Down  int                 // luma samples and rows to one of chroma; chroma is co-sited with luma sample 0
	Fields        bool                // rows belong to two fields in turn: 4:2:0 chroma rows do too
	Coding        *colorimetry.Coding // that it was read from; nil: of a signal, without limits
	Frames        int                 // that were averaged
	Planes        [3][]float32        // rows top to bottom
	Noise         [3][]float32        // standard deviation of a sample over the frames; nil of one frame

	// Raster is set when it is known on which lattice the samples lie, such as
	// that of a decoded signal; else Find tells.
	Raster *timing.Raster
}

// Size returns the samples and rows of a plane.
func (p *Picture) Size(c colorimetry.Component) (width, height int) {
	if c == colorimetry.Y {
		return p.Width, p.Height
	}
	return (p.Width + p.Across - 1) / p.Across, (p.Height + p.Down - 1) / p.Down
}

// Row returns row j of a plane, sharing its memory.
func (p *Picture) Row(c colorimetry.Component, j int) []float32 {
	w, _ := p.Size(c)
	return p.Planes[c][j*w : (j+1)*w]
}

// ChromaRow returns which row of the chroma planes belongs to row j of luma: of
// 4:2:0 in fields, that of its field.
func (p *Picture) ChromaRow(j int) int {
	_, h := p.Size(colorimetry.CB)
	switch {
	case p.Down == 1:
		return j
	case p.Fields:
		return min(j/4*2+j%2, h-1)
	default:
		return min(j/p.Down, h-1)
	}
}

// OfFrame returns a sampled frame as a picture: a capture without faults.
func OfFrame(f *frame.Frame) *Picture {
	across, down := f.Sampling.Step()
	p := &Picture{
		Width: f.Raster.Width, Height: f.Raster.Height(), Across: across, Down: down,
		Fields: f.Raster.Scan.Interlaced(), Frames: 1, Raster: f.Raster,
	}
	for i := range f.Planes {
		plane := &f.Planes[i]
		for j := range plane.Lines {
			for _, v := range plane.Row(j) {
				p.Planes[i] = append(p.Planes[i], float32(v))
			}
		}
	}
	return p
}
