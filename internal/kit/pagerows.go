package kit

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/format"
	"backporch/internal/readings"
	"backporch/internal/render"
)

// heads are the columns of what a picture must read.
func (r *run) heads() []string {
	list := []string{"Patch", "R'G'B' %"}
	if !r.pixels() {
		list = append(list, "8 bit", "10 bit")
	}
	list = append(list, "RGB code")
	if r.Plan.Wire != nil || r.Plan.Player != nil {
		switch r.wires()[0].Interface {
		case colorimetry.ComponentRGB:
			list = append(list, "R G B mV")
		case colorimetry.ComponentYPbPr:
			list = append(list, "Luma mV", "PB mV", "PR mV")
		default:
			list = append(list, "Luma mV", "Chroma mV p-p", "Angle")
		}
	}
	if r.Device != nil {
		list = append(list, "Off")
	}
	return list
}

// row is a patch under heads.
func (r *run) row(s spot) []string {
	word, two := s.Ends()
	both := func(first, second string) string {
		if !two {
			return first
		}
		return first + word + second
	}
	list := []string{s.Patch.Name, both(percents(s.RGB), percents(s.ToRGB))}
	if !r.pixels() {
		list = append(list, s.Words(s.Codes8, s.To8), s.Words(s.Codes10, s.To10))
	}
	list = append(list, s.Words(s.file, s.to))
	if r.Plan.Wire != nil || r.Plan.Player != nil {
		f := r.wires()[0]
		a, b := onWire(f, s.held[0]), onWire(f, s.held[1])
		for i := range a {
			list = append(list, both(a[i], b[i]))
		}
		if s.Clipped {
			list[len(list)-len(a)] += " (clipped)"
		}
	}
	if r.Device != nil {
		list = append(list, s.off())
	}
	return list
}

// onWire is a level in the columns of its interface.
func onWire(f *colorimetry.Family, s colorimetry.Signal) []string {
	mv := func(m colorimetry.Millivolt) string { return fmt.Sprintf("%.1f", round(float64(m)+tie, 10)) }
	l := readings.On(f, s)
	switch f.Interface {
	case colorimetry.ComponentRGB:
		return []string{mv(l.R) + " " + mv(l.G) + " " + mv(l.B)}
	case colorimetry.ComponentYPbPr:
		return []string{mv(l.Luma), mv(l.PB), mv(l.PR)}
	}
	angle := "-"
	if l.Chroma != 0 {
		angle = fmt.Sprintf("%.1f", round(l.Degrees+tie, 10))
	}
	return []string{mv(l.Luma), mv(l.Chroma), angle}
}

// off says how far a device is off, the worse of two ends, and marks what is
// beyond the limits.
func (s *spot) off() string {
	d := s.deviations[0]
	if other := s.deviations[1]; d == nil || other != nil && other.Size() > d.Size() {
		d = other
	}
	text := d.verdict()
	if d != nil && d.Note != "" {
		text += "; " + d.Note
	}
	return text
}

// worst is the level that is farthest off; nil without a device or patches.
func (m *made) worst() (worst *level) {
	for _, l := range levels(m.spots) {
		if l.off != nil && (worst == nil || l.off.Size() > worst.off.Size()) {
			worst = &l
		}
	}
	return worst
}

// beyond counts the patches that the device shows beyond the limits.
func (m *made) beyond() (n int) {
	for _, s := range m.spots {
		if s.beyond() {
			n++
		}
	}
	return n
}

// howMany says how many patches are beyond the tolerances.
func (m *made) howMany() string {
	return fmt.Sprintf("%d of %s off", m.beyond(), patches(len(m.spots)))
}

func patches(n int) string {
	if n == 1 {
		return "1 patch"
	}
	return fmt.Sprintf("%d patches", n)
}

// missing says which patches no file holds, why and what would.
func missing(absent render.LostList) string {
	var parts []string
	for _, l := range absent.ByWay() {
		text := l.Names() + " (" + l[0].Reason
		if way := l[0].Patch.Way; way != "" {
			text += "; " + way
		}
		parts = append(parts, text+")")
	}
	return strings.Join(parts, "; ")
}

// clippedIn says which patches a plan or a device puts out of reach, and in
// which files.
func clippedIn(m *made) string {
	kinds := map[string][]string{} // of files, by the names of patches
	var order []string
	for _, f := range m.files {
		names := f.Lost.Clipped(true).Names()
		if names == "" {
			continue
		}
		kind := "picture"
		if f.Format.Stream {
			kind = "video"
		}
		if kinds[names] == nil {
			order = append(order, names)
		}
		if !slices.Contains(kinds[names], kind) {
			kinds[names] = append(kinds[names], kind)
		}
	}
	var parts []string
	for _, names := range order {
		parts = append(parts, "in the "+strings.Join(kinds[names], " and the ")+": "+names)
	}
	return strings.Join(parts, "; ")
}

// isStill reports whether a format holds one picture.
func isStill(name string) bool {
	f, err := format.Resolve(format.Choice{Name: name})
	return err == nil && !f.Stream
}

func percents(v [3]float64) string {
	v = rounded(v)
	return fmt.Sprintf("%g %g %g", v[0], v[1], v[2])
}

// rounded keeps two decimals of per cents.
func rounded(v [3]float64) [3]float64 {
	for i := range v {
		v[i] = round(v[i], 100)
	}
	return v
}

// round keeps the decimals that scale says, and has no negative zero.
func round(v, scale float64) float64 { return math.Round(v*scale)/scale + 0 }
