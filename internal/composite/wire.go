package composite

import (
	"fmt"
	"strings"

	"backporch/colorimetry"
	"backporch/timing"
)

// A Kind is an interface: which signals run side by side.
type Kind int

// The kinds.
const (
	Composite Kind = iota // one signal with sync, luma and chroma
	YC                    // luma with sync, and chroma with burst
	YPbPr                 // luma with sync, and two color differences
	RGB                   // three primaries, sync on green
	numKinds
)

var kindChannels = [numKinds][]string{
	Composite: {"CVBS"},
	YC:        {"Y", "C"},
	YPbPr:     {"Y", "PB", "PR"},
	RGB:       {"R", "G", "B"},
}

// A Wire is an interface with the levels of a family.
type Wire struct {
	Name   string // as on the command line: "composite-m", "yc-pal", "rgb-700"
	Title  string // as in messages
	Kind   Kind
	Family *colorimetry.Family
}

func row(name, title string, k Kind, family string) *Wire {
	return &Wire{name, title, k, colorimetry.LookupFamily(family)}
}

// wires is in listing order. Y/C has the levels of composite.
var wires = []*Wire{
	row("composite-m", "composite with 7.5 IRE setup", Composite, "composite-m"),
	row("composite-j", "composite without setup", Composite, "composite-j"),
	row("pal", "PAL composite", Composite, "pal"),
	row("yc-m", "Y/C with 7.5 IRE setup", YC, "composite-m"),
	row("yc-j", "Y/C without setup", YC, "composite-j"),
	row("yc-pal", "Y/C, PAL", YC, "pal"),
	row("component-n10", "component N10", YPbPr, "component-n10"),
	row("component-betacam", "component Betacam with setup", YPbPr, "component-betacam"),
	row("component-betacam-zero", "component Betacam without setup", YPbPr, "component-betacam-zero"),
	row("component-betacam-700", "component Betacam without setup, 700 mV", YPbPr, "component-betacam-700"),
	row("component-mii", "component MII with setup", YPbPr, "component-mii"),
	row("rgb-700", "RGB 700 mV, sync on green", RGB, "rgb-700"),
	row("rgb-714", "RGB 714 mV, sync on green", RGB, "rgb-714"),
}

// Wires returns the table of wires in listing order. The slice is the
// caller's; the wires are shared and must not be changed.
func Wires() []*Wire { return append([]*Wire(nil), wires...) }

// Lookup returns the wire of that name, or nil. Case does not matter.
func Lookup(name string) *Wire {
	for _, w := range wires {
		if strings.EqualFold(w.Name, name) {
			return w
		}
	}
	return nil
}

// Names lists the wires that carry a picture of that many lines: 525 or 625,
// or all of them for 0.
func Names(lines int) (names []string) {
	for _, w := range wires {
		if lines == 0 || w.Family.Lines == 0 || w.Family.Lines == lines {
			names = append(names, w.Name)
		}
	}
	return names
}

// Usual returns the wire to assume when none is named: composite with setup on
// 525 lines, PAL on 625.
func Usual(s *timing.Scan) *Wire {
	if s.System == timing.System625 {
		return Lookup("pal")
	}
	return Lookup("composite-m")
}

// Channels names the signals of the wire, in the order of a [Wave].
func (w *Wire) Channels() []string { return append([]string(nil), kindChannels[w.Kind]...) }

// Subcarrier reports whether the wire carries its color on a subcarrier.
func (w *Wire) Subcarrier() bool { return w.Kind == Composite || w.Kind == YC }

// HasSync reports whether a channel carries sync: green of RGB, else the first.
func (w *Wire) HasSync(channel int) bool {
	if w.Kind == RGB {
		return channel == 1
	}
	return channel == 0
}

// Check reports a wire that cannot carry a scan. The error names those that
// can.
func (w *Wire) Check(s *timing.Scan) error {
	lines := s.System.Lines()
	if w.Family.Lines == 0 || w.Family.Lines == lines {
		return nil
	}
	return fmt.Errorf("%s belongs to %d lines and the raster has the lines of %s; use %s",
		w.Name, w.Family.Lines, s.System.Name, strings.Join(Names(lines), ", "))
}
