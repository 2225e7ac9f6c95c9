package cli

import (
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"backporch/internal/meter"
	"backporch/internal/output"
	"backporch/pattern"
)

// lightFlags bring in what was read. They mean the same with every command that
// takes readings: --read for one that is typed, --from for a table, neither of
// them for a prompt on a terminal. --csv is how tables are printed, here as
// everywhere.
type lightFlags struct {
	Read    []string
	From    string
	Columns string
	Form    string
}

// add defines the flags. A reading is spelled as --read takes it.
func (l *lightFlags) add(cmd *cobra.Command, f *pflag.FlagSet, spelling string) {
	f.StringArrayVar(&l.Read, "read", nil, "one reading, "+spelling+"; give it again for each")
	f.StringVar(&l.From, "from", "", "a table of readings, FILE.csv; - for standard input")
	f.StringVar(&l.Columns, "columns", "", "with --from: columns whose heads are not recognized, such as level=Stimulus,Y=Luma")
	f.StringVar(&l.Form, "form", "xyY", "of the three figures of --read and of the prompt: "+strings.Join(lightForms(), ", "))
	complete(cmd, "form", lightForms())
}

// given reports whether the flags bring readings in: else they are asked for.
func (l *lightFlags) given() bool { return len(l.Read) > 0 || l.From != "" }

// check refuses flags that contradict each other.
func (l *lightFlags) check() error {
	switch {
	case len(l.Read) > 0 && l.From != "":
		return usagef("--read and --from both bring readings in; give one of them")
	case l.Columns != "" && l.From == "":
		return usagef("--columns names columns of a table; name its file with --from, or leave --columns out")
	}
	_, err := l.form()
	return err
}

func (l *lightFlags) form() (lightForm, error) {
	form, err := parseLightForm(l.Form)
	if err != nil {
		return form, usagef("--form: %w", err)
	}
	return form, nil
}

// samples are the light that --read or --from brings in. Fields and zones may
// be named; steps have a level, in per cent.
func (l *lightFlags) samples(s *Streams, names []string) (list []meter.Sample, err error) {
	if err := l.check(); err != nil {
		return nil, err
	}
	if l.From != "" {
		columns, err := l.columns()
		if err != nil {
			return nil, err
		}
		err = l.table(s, func(r io.Reader) error {
			list, err = readLightTable(r, columns)
			return err
		})
		return list, err
	}
	for _, text := range l.Read {
		x, err := l.sample(text, names)
		if err != nil {
			return nil, usagef("--read: %w", err)
		}
		list = append(list, x)
	}
	return list, nil
}

// sample reads "20:0.300 0.310 4.1" or, where there are names, "red:0.64 0.33
// 17".
func (l *lightFlags) sample(text string, names []string) (x meter.Sample, err error) {
	form, err := l.form()
	if err != nil {
		return x, err
	}
	of, figures, ok := strings.Cut(text, ":")
	of, figures = strings.ToLower(strings.TrimSpace(of)), strings.TrimSpace(figures)
	if !ok || figures == "" {
		return x, fmt.Errorf("%q does not say what was read, and then its light; write it as %s", text, exampleOf(names))
	}
	switch {
	case len(names) == 0:
		percent, err := strconv.ParseFloat(strings.TrimSuffix(of, "%"), 64)
		if err != nil || !(percent >= leastLevel && percent <= mostLevel) {
			return x, fmt.Errorf("%q is no level in per cent, %d to %d; write the reading as %s", of, leastLevel, mostLevel, exampleOf(names))
		}
		x.Level = percent / 100
	case !slices.Contains(names, of):
		return x, fmt.Errorf("%q is none of %s%s", of, strings.Join(names, ", "), pattern.Suggest(of, names))
	default:
		x.Name, x.Level = of, 1
		if of == "black" {
			x.Level = 0
		}
	}
	if x.XYZ, err = parseLight(form, figures); err != nil {
		return x, fmt.Errorf("%s: %w", of, err)
	}
	x.Given = l.Form + " " + figures
	return x, nil
}

// Levels of a signal that are taken, per cent: those below black and above
// white are played, too.
const (
	leastLevel = -10
	mostLevel  = 120
)

// exampleOf is a reading as --read takes it.
func exampleOf(names []string) string {
	if len(names) > 0 {
		return `"` + names[0] + `:0.310 0.330 17.2"`
	}
	return `"20:0.310 0.330 2.1"`
}

// columns reads --columns: of each quantity the head of its column.
func (l *lightFlags) columns() (map[string]string, error) {
	if l.Columns == "" {
		return nil, nil
	}
	m := map[string]string{}
	for _, pair := range strings.Split(l.Columns, ",") {
		name, head, ok := strings.Cut(pair, "=")
		name, head = strings.TrimSpace(name), strings.TrimSpace(head)
		if !ok || name == "" || head == "" {
			return nil, usagef("--columns: %q does not give a quantity its column; write it as level=Stimulus", pair)
		}
		if _, twice := m[name]; twice {
			return nil, usagef("--columns: %s is given two columns; name one", name)
		}
		m[name] = head
	}
	return m, nil
}

// table hands the file of --from to a reader, and names it in what goes wrong.
func (l *lightFlags) table(s *Streams, read func(io.Reader) error) error {
	if l.From == output.Stdout {
		if s.In == nil || s.InTerminal {
			return usagef("--from -: standard input is a terminal; pipe the table in, or leave --from out and be asked row by row")
		}
		if err := read(s.In); err != nil {
			return fmt.Errorf("standard input: %w", err)
		}
		return nil
	}
	if err := readable(l.From); err != nil {
		return err
	}
	f, err := os.Open(l.From)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := read(f); err != nil {
		return fmt.Errorf("%s: %w", l.From, err)
	}
	return nil
}
