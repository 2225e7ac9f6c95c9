// Package modeline makes display modes for the analog rasters out of the output
// of a PC or a single-board computer: the figures of an X.Org modeline, the
// EDID that tells a kernel of them, and what kernels call the colors and the
// black level of their composite outputs.
//
// The figures of CEA-861 are secondary: open per-format tables and the mode
// table of the Linux kernel (drivers/gpu/drm/drm_edid.c). The 18 bytes of a
// detailed timing are those of the kernel's include/drm/drm_edid.h; the rest of
// the EDID is release A revision 1 (EDID 1.3) by a public bit table (secondary)
// and memory. The order of a modeline's numbers is that of xorg.conf(5).
//
// A display controller knows lines of sync, not serrations, equalizing pulses
// or half lines: what it makes of a mode is for the oscilloscope to say.
package modeline

import (
	"fmt"
	"strings"

	"backporch/timing"
)

// ClockStep is the unit of an EDID's pixel clock, in hertz. Modelines are held
// to it too, so that both ways of setting a mode give the same rates.
const ClockStep = 10_000

// Widths that can be asked for. A sync is 4.7 us wide, give or take 0.1 (SMPTE
// 170M-2004 table 2): pixels of over 0.2 us, fewer than 256 in the time of
// 720 at 13.5 MHz, cannot keep that. An EDID has 12 bits for the width.
const (
	MinWidth = 256
	MaxWidth = 4095
)

// Placing says where the picture stands between the syncs.
type Placing int

// Along the line the two differ on 525 lines only, by 3 samples of 13.5 MHz.
const (
	CEA861 Placing = iota // as display links and kernels have it
	BT601                 // as in a studio: sample 0 and row 0 of a file where its raster has them

	numPlacings
)

var placingNames = [numPlacings]string{"cea", "bt601"}

// PlacingNames lists the names that [ParsePlacing] takes.
func PlacingNames() []string { return append([]string(nil), placingNames[:]...) }

func (p Placing) String() string {
	if p < 0 || p >= numPlacings {
		return fmt.Sprintf("Placing(%d)", int(p))
	}
	return placingNames[p]
}

// ParsePlacing is the inverse of String.
func ParsePlacing(name string) (Placing, error) {
	for p, n := range placingNames {
		if strings.EqualFold(n, name) {
			return Placing(p), nil
		}
	}
	return 0, fmt.Errorf("unknown timing %q; use one of %s", name, strings.Join(placingNames[:], ", "))
}

// An Axis is one direction of a mode in the order of time, in pixels or lines.
type Axis struct{ Active, Front, Sync, Back int }

// Blank returns what is not active.
func (a Axis) Blank() int { return a.Front + a.Sync + a.Back }

// Total returns active and blank.
func (a Axis) Total() int { return a.Active + a.Blank() }

// A Mode is a raster as a display controller is told of it.
type Mode struct {
	Raster  *timing.Raster
	Placing Placing
	Clock   int  // in units of ClockStep
	H       Axis // pixels
	V       Axis // lines of a field; when interlaced each field has half a line more
	First   int  // line of the first row of field 1
}

// New returns the mode of a raster with so many pixels in its width.
func New(r *timing.Raster, width int, p Placing) (*Mode, error) {
	if width < MinWidth || width > MaxWidth {
		reason := fmt.Sprintf("an EDID holds at most %d pixels", MaxWidth)
		if width < MinWidth {
			reason = "a pixel would be longer than the 0.2 us within which a sync must be as wide as it should"
		}
		return nil, fmt.Errorf("%d pixels are not within %d to %d: %s", width, MinWidth, MaxWidth, reason)
	}
	m := &Mode{Raster: r, Placing: p}
	m.vertical()
	m.horizontal(width)
	return m, nil
}

// vertical places the rows: where CEA-861 has as many, or on the raster's own
// lines. Rows go out alternately, and the even ones are those of the first field
// (common practice of display controllers). So a raster that begins with a line
// of field 2 cannot have its own, and goes up by half a line of the field.
func (m *Mode) vertical() {
	r := m.Raster
	// The line of the first vertical sync pulse: 525/60 counts from the
	// equalizing pulses (SMPTE 170M figure 7), 625/50 from the sync itself
	// (ITU-R BT.470-6). CEA-861 has 3 lines of sync in both; 2.5 in 625/50
	// cannot be said in whole lines.
	begin, sync := 4, 3
	if r.Scan.System == timing.System625 {
		begin = 1
	}
	rows := r.Height() / r.Scan.Fields
	m.First = r.Lines[0].Number
	if r.Lines[0].Field == 2 {
		m.First = int(r.Lines[0].Position(r.Scan.System).Sub(timing.R(1, 2)).Num)
	}
	// The first lines of CEA-861 (secondary), from its back porches of 15 and 19.
	switch {
	case m.Placing == CEA861 && rows == 240:
		m.First = 22
	case m.Placing == CEA861 && rows == 288:
		m.First = 23
	}
	m.V = Axis{Active: rows, Sync: sync, Back: m.First - begin - sync}
	m.V.Front = r.Scan.Lines/r.Scan.Fields - m.V.Total()
}

// Up returns by how many lines of the field the picture stands above where its
// raster has it; below 0 it stands lower.
func (m *Mode) Up() timing.Ratio {
	return m.Raster.Lines[0].Position(m.Raster.Scan.System).Sub(timing.Int(int64(m.First)))
}

// Interlaced reports whether two fields make a frame.
func (m *Mode) Interlaced() bool { return m.Raster.Scan.Interlaced() }

// Hz returns the pixel clock.
func (m *Mode) Hz() timing.Ratio { return timing.Int(int64(m.Clock) * ClockStep) }

// LineRate returns the lines per second that result.
func (m *Mode) LineRate() timing.Ratio { return m.Hz().Div(timing.Int(int64(m.H.Total()))) }

// FieldRate returns the vertical sweeps per second that result.
func (m *Mode) FieldRate() timing.Ratio {
	s := m.Raster.Scan
	return m.LineRate().Mul(timing.R(int64(s.Fields), int64(s.Lines)))
}

// Deviation returns how far the rates lie above those of the raster, in parts
// of a million.
func (m *Mode) Deviation() float64 {
	return (m.LineRate().Float64()/m.Raster.Scan.LineRate().Float64() - 1) * 1e6
}

// Microseconds returns how long a number of pixels lasts.
func (m *Mode) Microseconds(pixels int) timing.Ratio {
	return timing.Int(int64(pixels) * 1_000_000).Div(m.Hz())
}
