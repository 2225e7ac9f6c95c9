// Package scope draws what a waveform monitor and a vectorscope show of a
// signal: as a picture of pixels and as SVG. Everything on it comes from the
// samples; only the graticule comes from the numbers of the standards.
//
// Samples are points and a signal is a line: it is interpolated in its band
// before it is drawn, so that the tops of the subcarrier stand where they are
// on the cable and not where a sample happened to fall.
//
// The trace is dark on light paper. The longer and the more often the beam is
// at a place, the darker it is, on a logarithmic scale; hue carries nothing. It
// is reckoned in integers: the same pixels on every machine.
package scope

import (
	"fmt"
	"math"
	"strings"

	"backporch/internal/composite"
)

// A View is a way to look at a signal.
type View int

// The views. Line is the harmless one: it leaves nothing out.
const (
	Line   View = iota // one line, from before its sync to its end
	Lines              // all picture lines over each other
	Field              // a whole field, with the vertical interval
	Parade             // the signals of a wire side by side
	Vector             // color differences as a plane
	numViews
)

var viewNames = [numViews]string{"line", "lines", "field", "parade", "vector"}

func (v View) String() string {
	if v < 0 || v >= numViews {
		return fmt.Sprintf("View(%d)", int(v))
	}
	return viewNames[v]
}

// ViewNames lists the names that [ParseView] takes.
func ViewNames() []string { return append([]string(nil), viewNames[:]...) }

// ParseView reads the name of a view. The error names all.
func ParseView(name string) (View, error) {
	for v, n := range viewNames {
		if strings.EqualFold(n, name) {
			return View(v), nil
		}
	}
	return 0, fmt.Errorf("unknown view %q; use %s", name, strings.Join(viewNames[:], ", "))
}

// Units are the units of a graticule.
type Units int

// The units. Usual is IRE on 525-line composite and Y/C, and mV elsewhere.
const (
	Usual Units = iota
	IRE
	Millivolt
	numUnits
)

var unitNames = [numUnits]string{"", "ire", "mv"}

// ParseUnits reads "ire" or "mv"; "" is the usual one.
func ParseUnits(name string) (Units, error) {
	for u, n := range unitNames {
		if strings.EqualFold(n, name) {
			return Units(u), nil
		}
	}
	return 0, fmt.Errorf("unknown units %q; use ire or mv", name)
}

// Options say what to draw of a wave. The zero value, with a View, is the
// usual picture.
type Options struct {
	View    View
	Frame   int    // of the wave, 0 its first
	Field   int    // 1 or 2 of the frame; 0: both, and 1 in Line and Field
	Line    int    // analog line; 0: Line takes one from the middle of the picture, the others all of it. Not in Field view
	Channel string // of several, as the wire names them; "": the one with sync. Not in Parade and Vector
	Units   Units
	Targets int // per cent of the bars that the vectorscope's targets belong to: 75 (0) or 100

	Width           int    // of the picture in pixels, 240 to 4000; 0: 1080
	Title, Subtitle string // above the picture; the subtitle is followed by what is drawn
}

// Limits of Width.
const (
	MinWidth   = 240
	MaxWidth   = 4000
	usualWidth = 1080
)

// setUp is a wave and checked options with their defaults filled in.
type setUp struct {
	Options
	w        *composite.Wave
	channel  int // that Line, Lines and Field draw
	perUnit  float64
	unit     string
	decimals int
}

// newSetUp checks options against a wave. Errors name what is wrong and the
// way out.
func newSetUp(w *composite.Wave, o Options) (*setUp, error) {
	s := &setUp{Options: o, w: w}
	channels := w.Wire.Channels()
	if o.Frame < 0 || o.Frame >= w.Frames {
		return nil, fmt.Errorf("the wave has no frame %d; its frames count from 0 to %d", o.Frame, w.Frames-1)
	}
	if o.Line < 0 || o.Line > w.Scan.Lines {
		return nil, fmt.Errorf("there is no line %d; %s has lines 1 to %d", o.Line, w.Scan.Name, w.Scan.Lines)
	}
	if o.Line != 0 && o.View == Field {
		return nil, fmt.Errorf("the field view shows all lines of a field; leave line %d out, or use the line view", o.Line)
	}
	if o.Field < 0 || o.Field > w.Scan.Fields {
		return nil, fmt.Errorf("there is no field %d; %s has %d in a frame", o.Field, w.Scan.Name, w.Scan.Fields)
	}
	if o.Line != 0 && o.Field != 0 && s.w.Scan.FieldOf(o.Line) != o.Field {
		return nil, fmt.Errorf("line %d lies in field %d and not in %d; leave one of them out", o.Line, s.w.Scan.FieldOf(o.Line), o.Field)
	}
	if s.Field == 0 && (o.View == Line || o.View == Field) {
		s.Field = 1
	}
	if o.View == Parade && len(channels) == 1 {
		return nil, fmt.Errorf("%s is one signal and a parade needs several; use the lines view, or a Y/C, component or RGB wire", w.Wire.Name)
	}
	if w.Wire.Kind == composite.RGB {
		s.channel = 1 // sync is on green
	}
	if o.Channel != "" {
		if o.View == Parade || o.View == Vector {
			return nil, fmt.Errorf("the %v view takes all signals of the wire; leave out the channel %s", o.View, o.Channel)
		}
		if s.channel = channelOf(w, o.Channel); s.channel < 0 {
			return nil, fmt.Errorf("%s has no channel %q; use %s", w.Wire.Name, o.Channel, strings.Join(channels, ", "))
		}
	}
	if s.Targets == 0 {
		s.Targets = 75
	}
	if s.Targets != 75 && s.Targets != 100 {
		return nil, fmt.Errorf("targets for %d %% bars are not drawn; use 75 or 100", o.Targets)
	}
	if s.Width == 0 {
		s.Width = usualWidth
	}
	if s.Width < MinWidth || s.Width > MaxWidth {
		return nil, fmt.Errorf("a picture of %d pixels across cannot be; use %d to %d", o.Width, MinWidth, MaxWidth)
	}
	return s, s.setUnits()
}

func channelOf(w *composite.Wave, name string) int {
	for i, c := range w.Wire.Channels() {
		if strings.EqualFold(c, name) {
			return i
		}
	}
	return -1
}

// setUnits chooses the units of the graticule. IRE is the scale of levels of
// which white is 100 (SMPTE 170M clause 15.4).
func (s *setUp) setUnits() error {
	f := s.w.Wire.Family
	whole := int(float64(f.White.IRE())*1000+0.5) == 100_000
	switch {
	case s.Units == IRE && !whole:
		return fmt.Errorf("white is %.0f mV on %s, which is not 100 IRE; use mv", float64(f.White), s.w.Wire.Name)
	case s.Units == Usual && s.w.Wire.Subcarrier() && whole:
		s.Units = IRE
	case s.Units == Usual:
		s.Units = Millivolt
	}
	s.perUnit, s.unit = 1, "mV"
	if s.Units == IRE {
		s.perUnit, s.unit, s.decimals = 1000.0/140, "IRE", 1
	}
	return nil
}

// level is a level in words: "40.0 IRE".
func (s *setUp) level(mv float64) string {
	v := mv / s.perUnit
	if v < 0 && v > -0.5*math.Pow10(-s.decimals) { // no minus before a zero
		v = 0
	}
	return strings.Replace(fmt.Sprintf("%.*f %s", s.decimals, v, s.unit), "-", minus, 1)
}

const minus = "\u2212"
