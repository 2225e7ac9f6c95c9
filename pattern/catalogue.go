package pattern

import (
	"fmt"
	"strings"

	"backporch/internal/typo"
)

// An Entry is what the catalogue knows of a pattern.
type Entry struct {
	Name    string // as on the command line: lower case, hyphens
	Group   string // the job that it serves
	Use     string // one line: what to adjust or judge with it
	Source  string // document and clause, or "own design"
	Example string // a full command line
	Still   string // caution for a picture that stays long on a tube, or flashes; "" if none
	Flashes bool   // the level of the whole picture can jump; Still is then about that

	// New returns the pattern with its defaults, and the options bound to it.
	New func() (Pattern, []*Option)
}

// Groups in the order in which a technician works.
const (
	GroupSource   = "Check the source"
	GroupPurity   = "Purity, raster and noise"
	GroupGeometry = "Convergence, geometry and focus"
	GroupLevels   = "Black level, white level and tracking"
	GroupColor    = "Color: chroma gain, phase and decoding"
	GroupDetail   = "Detail and transients"
	GroupTime     = "Fields, motion and load"
)

// catalogue is in working order.
var catalogue = [][]Entry{
	oneToOneEntries,
	flatEntries,
	barsSplitRedEntries,
	crosshatchEntries,
	focusFieldEntries,
	plugeEntries,
	nearBlackEntries,
	windowEntries,
	staircaseEntries,
	rampEntries,
	streakingEntries,
	barsEntries,
	barsEIA189Entries,
	barsEG1Entries,
	barsRP219Entries,
	vectorsEntries,
	chromaStepsEntries,
	chromaDelayEntries,
	crossColorEntries,
	multiburstEntries,
	sweepEntries,
	tvLinesEntries,
	linePairsEntries,
	zonePlateEntries,
	pulseBarEntries,
	bounceEntries,
	movingBarEntries,
	fieldOrderEntries,
	lineTwitterEntries,
	halfLineEntries,
	countEntries,
}

// All returns the catalogue in working order.
func All() []Entry {
	var list []Entry
	for _, part := range catalogue {
		list = append(list, part...)
	}
	return list
}

// Find returns the entry of that name. The error suggests a near one.
func Find(name string) (Entry, error) {
	var names []string
	for _, e := range All() {
		if strings.EqualFold(e.Name, name) {
			return e, nil
		}
		names = append(names, e.Name)
	}
	return Entry{}, fmt.Errorf("unknown pattern %q%s; `backporch list patterns` names them all", name, typo.Suggest(name, names))
}

// Parse reads "bars-full set=75/0/75/0", the spelling in kits, steps, tags and
// queries: a name, then options in any order.
func Parse(spec string) (Pattern, error) {
	_, p, _, err := Resolve(spec)
	if err != nil {
		return nil, err
	}
	return p, nil
}

// Resolve is Parse, with the entry that the name stands for and the options of
// the pattern, set as the spelling says.
func Resolve(spec string) (e Entry, p Pattern, options []*Option, err error) {
	fields := strings.Fields(spec)
	if len(fields) == 0 {
		return e, nil, nil, fmt.Errorf("no pattern named; `backporch list patterns` names them all")
	}
	if e, err = Find(fields[0]); err != nil {
		return e, nil, nil, err
	}
	p, options = e.New()
	return e, p, options, setAll(e, options, fields[1:])
}

// setAll sets options of an entry, each NAME=VALUE, or NAME alone where that
// means true.
func setAll(e Entry, options []*Option, fields []string) error {
	for _, f := range fields {
		name, value, ok := strings.Cut(f, "=")
		if !ok {
			value = "true"
		}
		o := option(options, name)
		if o == nil {
			var names []string
			for _, o := range options {
				names = append(names, o.Name)
			}
			if len(names) == 0 {
				return fmt.Errorf("pattern %s has no option %q; it takes none", e.Name, name)
			}
			return fmt.Errorf("pattern %s has no option %q%s; it takes: %s", e.Name, name, typo.Suggest(name, names), strings.Join(names, ", "))
		}
		if !ok && !o.IsBoolFlag() {
			return fmt.Errorf("pattern %s: option %s needs a value, as in %s=%s", e.Name, name, name, o)
		}
		if err := o.Set(value); err != nil {
			return fmt.Errorf("pattern %s: %w", e.Name, err)
		}
	}
	return nil
}

func option(list []*Option, name string) *Option {
	for _, o := range list {
		if o.Name == name {
			return o
		}
	}
	return nil
}

// Spell is the inverse of Parse: the name, then every option whose value is
// not the default.
func Spell(e Entry, options []*Option) string {
	_, defaults := e.New()
	var b strings.Builder
	b.WriteString(e.Name)
	for i, o := range options {
		if v := o.String(); v != defaults[i].String() {
			fmt.Fprintf(&b, " %s=%s", o.Name, v)
		}
	}
	return b.String()
}

// Groups returns the jobs that patterns serve, in working order.
func Groups() []string {
	return []string{GroupSource, GroupPurity, GroupGeometry, GroupLevels, GroupColor, GroupDetail, GroupTime}
}
