package modeline

import (
	"fmt"

	"backporch/timing"
)

// Name is that of the mode, such as 720x480i. It tells apart rasters that have
// as many rows, and has no characters that a shell or X.Org would take amiss.
func (m *Mode) Name() string { return fmt.Sprintf("%dx%s", m.H.Active, m.Raster.Name) }

// numbers are the ten of a modeline and its flags: clock in MHz, then active,
// sync start, sync end and total of the line, and of the frame.
func (m *Mode) numbers() string {
	h, v, flags := m.H, m.V, "-HSync -VSync"
	total := v.Total()
	if m.Interlaced() { // whole frames are counted, and their total is odd
		v = Axis{2 * v.Active, 2 * v.Front, 2 * v.Sync, 0}
		total = m.Raster.Scan.Lines
		flags += " Interlace"
	}
	start := func(a Axis) int { return a.Active + a.Front }
	return fmt.Sprintf("%d.%02d  %d %d %d %d  %d %d %d %d  %s", m.Clock/100, m.Clock%100,
		h.Active, start(h), start(h)+h.Sync, h.Total(), v.Active, start(v), start(v)+v.Sync, total, flags)
}

// Line is the line for section Monitor of an X.Org configuration.
func (m *Mode) Line() string { return fmt.Sprintf("Modeline %q  %s", m.Name(), m.numbers()) }

// XRandR are the commands that set the mode on a running X server.
func (m *Mode) XRandR(output string) []string {
	return []string{
		fmt.Sprintf("xrandr --newmode %q  %s", m.Name(), m.numbers()),
		fmt.Sprintf("xrandr --addmode %s %s", output, m.Name()),
		fmt.Sprintf("xrandr --output %s --mode %s", output, m.Name()),
	}
}

// Formats returns the two numbers, for 4:3 and 16:9 screens, by which CEA-861
// lists the mode, or 0, 0. At 720 pixels the list has each of them sent twice.
// Secondary: open per-format tables.
func (m *Mode) Formats() (normal, wide int) {
	base := []struct {
		system    *timing.System
		fields    int
		v         Axis
		once, two int // 4:3 at 720 and 1440 pixels, and at 2880
	}{
		{timing.System525, 2, Axis{240, 4, 3, 15}, 6, 10},
		{timing.System525, 1, Axis{240, 4, 3, 15}, 8, 12},
		{timing.System525, 1, Axis{240, 5, 3, 15}, 8, 12},
		{timing.System625, 2, Axis{288, 2, 3, 19}, 21, 25},
		{timing.System625, 1, Axis{288, 2, 3, 19}, 23, 27},
		{timing.System625, 1, Axis{288, 3, 3, 19}, 23, 27},
	}
	times := m.H.Active / 720
	line := Axis{720 * times, 19 * times, 62 * times, 57 * times}
	if m.Raster.Scan.System == timing.System625 {
		line = Axis{720 * times, 12 * times, 63 * times, 69 * times}
	}
	if m.H != line || m.Clock != 1350*times || times != 1 && times != 2 && times != 4 {
		return 0, 0
	}
	for _, b := range base {
		if b.system == m.Raster.Scan.System && b.fields == m.Raster.Scan.Fields && b.v == m.V {
			if times == 4 {
				return b.two, b.two + 1
			}
			return b.once, b.once + 1
		}
	}
	return 0, 0
}
