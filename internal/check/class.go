package check

import (
	"fmt"
	"math"
	"strings"

	"backporch/internal/table"
)

// A Class is how much a source may be off.
type Class int

// The classes. Bench is for aligning a set by eye and by oscilloscope; Studio is
// what the standards allow; Any refuses only what no setting can correct.
const (
	Bench Class = iota
	Studio
	Any

	numClasses
)

func (c Class) String() string { return [numClasses]string{"bench", "studio", "any"}[c] }

// Classes lists the names of ParseClass.
func Classes() (names []string) {
	for c := range numClasses {
		names = append(names, c.String())
	}
	return names
}

// ParseClass is the inverse of String.
func ParseClass(s string) (Class, error) {
	for c := range numClasses {
		if c.String() == s {
			return c, nil
		}
	}
	return 0, fmt.Errorf("there is no class %q; use %s (`backporch list classes` has their tolerances)", s, strings.Join(Classes(), ", "))
}

// A Quantity is something that a class has a tolerance for.
type Quantity int

// The quantities.
const (
	Black Quantity = iota
	White
	Steps
	ChromaGain
	ChromaPhase
	Difference
	Noise
	Bandwidth
	ChromaBandwidth
	Sharpening
	ChromaDelay
	PixelShape
	Shift
	ShiftRows
	BelowBlack
	AboveWhite

	numQuantities
)

// A Limit is the tolerance of one quantity in each class.
type Limit struct {
	Name, Unit string
	Decimals   int
	Least      bool // what is measured may not be less; else not further from right
	Max        [numClasses]float64
	Source     string
}

// none is a tolerance that nothing exceeds.
func none() float64 { return math.Inf(1) }

// Limits is the table of tolerances, by quantity. For the two cuts 1 means that
// it may be cut, and 0 that it must not.
//
// SMPTE 170M-2004 table 1 allows black and white 1 IRE; ITU-R BT.470-6 allows the
// black of system M 2.5. For what no document gives a tolerance that we know of,
// the figures are common practice. A bench sees 5 % of chroma gain as 4 % of the
// blue bar against white with the blue gun alone, and 3 degrees of phase as 12 %
// between cyan and magenta (equations of SMPTE 170M-2004 Annex A.3): what is
// beyond is set, not suffered.
func Limits() [numQuantities]Limit {
	const practice = "common practice"
	inf := none()
	return [numQuantities]Limit{
		Black:           {"Black", "IRE", 1, false, [...]float64{2.5, 1, inf}, "studio SMPTE 170M-2004 table 1; bench ITU-R BT.470-6, system M"},
		White:           {"White", "IRE", 1, false, [...]float64{2.5, 1, inf}, "studio SMPTE 170M-2004 table 1; bench " + practice},
		Steps:           {"Gray steps, off a straight line", "IRE", 1, false, [...]float64{2, 1, inf}, practice},
		ChromaGain:      {"Chroma gain", "%", 1, false, [...]float64{5, 2, inf}, practice},
		ChromaPhase:     {"Chroma phase", "deg", 1, false, [...]float64{3, 1, inf}, practice},
		Difference:      {"Color difference, CIEDE2000", "", 1, false, [...]float64{5, 2, inf}, practice},
		Noise:           {"Noise, rms", "IRE", 2, false, [...]float64{1, 0.3, inf}, practice + ": 40 and 50 dB below white"},
		Bandwidth:       {"Bandwidth at -3 dB", "MHz", 2, true, [...]float64{3, 4.2, 2}, "studio the video bandwidth of system M (memory); others " + practice},
		ChromaBandwidth: {"Chroma bandwidth at -3 dB", "MHz", 2, true, [...]float64{0.5, 1, 0.3}, practice},
		Sharpening:      {"Sharpening", "%", 0, false, [...]float64{26, 12, inf}, practice + ": 2 and 1 dB"},
		ChromaDelay:     {"Chroma delay", "ns", 0, false, [...]float64{150, 50, inf}, practice},
		PixelShape:      {"Width against height", "%", 1, false, [...]float64{2, 1, inf}, practice},
		Shift:           {"Picture shift", "us", 2, false, [...]float64{0.5, 0.2, inf}, practice},
		ShiftRows:       {"Picture shift", "rows", 1, false, [...]float64{2, 1, inf}, practice},
		BelowBlack:      {"Levels below black", "", 0, false, [...]float64{0, 0, 0}, practice + ": PLUGE cannot be seen without"},
		AboveWhite:      {"Levels above white", "", 0, false, [...]float64{1, 0, 1}, practice},
	}
}

// exceeds reports whether a value is out of the tolerance of a class.
func (l *Limit) exceeds(c Class, v float64) bool {
	if l.Least {
		return v < l.Max[c]
	}
	return math.Abs(v) > l.Max[c]
}

// text is the tolerance as a person reads it.
func (l *Limit) text(q Quantity, c Class) string {
	switch v := l.Max[c]; {
	case q == BelowBlack || q == AboveWhite:
		if v > 0 {
			return "may be cut"
		}
		return "kept"
	case math.IsInf(v, 1):
		return "-"
	case l.Least:
		return strings.TrimSpace(fmt.Sprintf("at least %g %s", v, l.Unit))
	case q == Noise || q == Difference || q == Steps || q == Sharpening:
		return strings.TrimSpace(fmt.Sprintf("up to %g %s", v, l.Unit))
	default:
		return fmt.Sprintf("+-%g %s", v, l.Unit)
	}
}

// bare is text without its unit.
func (l *Limit) bare(q Quantity, c Class) string {
	s := strings.TrimSuffix(l.text(q, c), " "+l.Unit)
	return strings.NewReplacer("up to ", "<= ", "at least ", ">= ").Replace(s)
}

// ClassData is the table of tolerances for programs. A class without a tolerance
// has none; of what may be cut, 1 says that it may and 0 that it must not.
func ClassData() *table.Table {
	t := &table.Table{Name: "classes", Columns: []table.Column{{Name: "Quantity"}, {Name: "Unit"}, {Name: "Is"}}}
	for _, name := range Classes() {
		t.Columns = append(t.Columns, table.Column{Name: name, Decimals: table.Shortest})
	}
	t.Columns = append(t.Columns, table.Column{Name: "Source"})
	for _, l := range Limits() {
		is := "at most"
		if l.Least {
			is = "at least"
		}
		row := []any{l.Name, orNone(l.Unit), is}
		for c := range numClasses {
			row = append(row, l.Max[c])
		}
		t.Add(append(row, l.Source)...)
	}
	return t
}

// ClassTable is the table of tolerances for people.
func ClassTable() *table.Table {
	t := &table.Table{Name: "classes", Columns: []table.Column{{Name: "Quantity"}, {Name: "Unit"}}}
	for _, name := range Classes() {
		t.Columns = append(t.Columns, table.Column{Name: name})
	}
	t.Columns = append(t.Columns, table.Column{Name: "Source"})
	for q, l := range Limits() {
		row := []any{l.Name, orNone(l.Unit)}
		for c := range numClasses {
			row = append(row, l.bare(Quantity(q), c))
		}
		t.Add(append(row, l.Source)...)
	}
	t.Notes = []string{"bench: to align a set by eye and by oscilloscope. studio: what the standards allow. any: refuses only what no setting can correct. IRE counts from black, 0, to white, 100."}
	return t
}
