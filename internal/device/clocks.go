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
	if err := c.check(s, v); err != nil {
		return nil, err
	}
	r := &timing.Raster{Name: name, Clock: c.Pixel(), Start: v.Begins.Add(timing.R(1, 2)), Width: v.Width}
	r.Scan = scanOf(name, s, v, s.Subcarrier.Mul(c.meanLine(v.Lines)).Div(c.Master))
	r.Note = fmt.Sprintf("%s lines a field, %s cycles of the subcarrier a line", fieldLines(v), Mixed(r.Scan.Cycles))
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

// Pixel returns the clock of pixels, Hz.
func (c *Clocks) Pixel() timing.Ratio { return c.Master.Div(timing.Int(c.Divider)) }

// meanLine returns the master clocks of a line, the mean of a frame.
func (c *Clocks) meanLine(lines int) timing.Ratio {
	total := int64(0)
	for i := range lines {
		total += c.Lines[i%len(c.Lines)]
	}
	return timing.R(total, int64(lines))
}

// Centered returns where the first pixel begins, in pixels after 0H, so that
// width of them lie in the middle of the analog picture to the nearest master
// clock.
func (c *Clocks) Centered(s *timing.System, width int) timing.Ratio {
	middle := s.Left.Add(s.Right).Mul(c.Pixel()).Div(timing.Int(2_000_000)) // in pixels
	begins := middle.Sub(timing.R(int64(width), 2)).Mul(timing.Int(c.Divider))
	return timing.R(begins.Sub(timing.R(1, 2)).Ceil(), c.Divider)
}

// scanOf returns the scan of a device: one of the known ones where it is the
// same.
func scanOf(name string, s *timing.System, v Picture, cycles timing.Ratio) *timing.Scan {
	var known []*timing.Scan
	for _, r := range timing.Rasters() {
		known = append(known, r.Scan)
	}
	for _, k := range append(known, timing.Scan312offset, timing.Scan313offset) {
		if k.System == s && k.Lines == v.Lines && k.Fields == v.Fields && k.Cycles.Cmp(cycles) == 0 {
			return k
		}
	}
	return &timing.Scan{Name: fmt.Sprintf("%s: %s lines, %s cycles", name, fieldLines(v), Mixed(cycles)), System: s, Lines: v.Lines, Fields: v.Fields, Cycles: cycles}
}

// Mixed writes a ratio as a person does: "227 1/3".
func Mixed(r timing.Ratio) string {
	whole := r.Num / r.Den
	rest := r.Sub(timing.Int(whole))
	switch {
	case rest.Num == 0:
		return fmt.Sprint(whole)
	case whole == 0:
		return r.String()
	case rest.Num < 0:
		return fmt.Sprintf("%d %d/%d", whole, -rest.Num, rest.Den)
	}
	return fmt.Sprintf("%d %s", whole, rest)
}

func fieldLines(v Picture) string { return Mixed(timing.R(int64(v.Lines), int64(v.Fields))) }
