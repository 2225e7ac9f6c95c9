package device

import (
	"fmt"

	"backporch/timing"
)

// Picture is where the visible pixels of a device lie.
type Picture struct {
	Width  int
	Rows   int          // in a field
	First  int          // line of field 1 that shows the first row
	Begins timing.Ratio // left edge of the first pixel after 0H, in pixels
	Fields int          // 2 when interlaced, else 1
	Lines  int          // in a frame
}

// Raster returns the raster that the clocks and the picture make. The error
// does the arithmetic where they contradict each other.
func (c *Clocks) Raster(name string, s *timing.System, v Picture) (*timing.Raster, error) {
	for _, n := range c.Lines {
		if n%c.Divider != 0 {
			return nil, fmt.Errorf("a line of %d master clocks, %d to a pixel, has %d pixels and %d/%d of one; a line must have a whole number of pixels",
				n, c.Divider, n/c.Divider, n%c.Divider, c.Divider)
		}
	}
	total := int64(0) // master clocks in a frame
	for i := range v.Lines {
		total += c.Lines[i%len(c.Lines)]
	}
	clock := c.Master.Div(timing.Int(c.Divider))
	line := timing.R(total, int64(v.Lines)) // mean
	cycles := s.Subcarrier.Mul(line).Div(c.Master)
	scan := scanOf(name, s, v, cycles)
	r := &timing.Raster{Name: name, Scan: scan, Clock: clock, Start: v.Begins.Add(timing.R(1, 2)), Width: v.Width}
	for j := range v.Rows * v.Fields {
		l := timing.Line{Number: v.First + j/v.Fields, Field: 1}
		if j%v.Fields == 1 {
			// The line that falls between two of field 1.
			l = timing.Line{Number: v.First + j/2 + (s.Lines()+1)/2, Field: 2}
		}
		r.Lines = append(r.Lines, l)
	}
	return r, nil
}

// scanOf returns the scan of a device: one of the known ones where it is the
// same.
func scanOf(name string, s *timing.System, v Picture, cycles timing.Ratio) *timing.Scan {
	for _, r := range timing.Rasters() {
		if k := r.Scan; k.System == s && k.Lines == v.Lines && k.Fields == v.Fields && k.Cycles.Cmp(cycles) == 0 {
			return k
		}
	}
	return &timing.Scan{Name: name, System: s, Lines: v.Lines, Fields: v.Fields, Cycles: cycles}
}
