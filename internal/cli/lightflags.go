package cli

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"backporch/internal/meter"
	"backporch/internal/output"
	"backporch/internal/typo"
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
	f.StringVar(&l.Form, "form", "xyY", "of the three figures of --read and of the prompt: "+strings.Join(formNames(), ", ")+", in cd/m2")
	complete(cmd, "form", formNames())
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

func (l *lightFlags) form() (meter.Form, error) {
	form, err := meter.ParseForm(l.Form)
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
		for name := range columns {
			if all := meter.Quantities(); !slices.Contains(all, name) {
				return nil, usagef("--columns: %q is no quantity%s; use %s", name, typo.Suggest(name, all), strings.Join(all, ", "))
			}
		}
		err = l.table(s, func(r io.Reader) error {
			if list, err = meter.ReadTable(r, columns); err != nil {
				return err
			}
			for i := range list {
				if err := nameHeld(&list[i], names); err != nil {
					return err
				}
			}
			return nil
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

// formWords says at the prompt what is typed of each reading.
func (l *lightFlags) formWords() string {
	switch form, _ := l.form(); form {
	case meter.XYZ:
		return "Type X Y Z, cd/m2."
	case meter.YUV:
		return "Type Y u' v', Y in cd/m2."
	}
	return "Type x y Y, Y in cd/m2."
}

// formNames are the forms as a shell takes them without quotes.
func formNames() (names []string) {
	for _, f := range meter.Forms() {
		names = append(names, strings.ReplaceAll(string(f), "'", ""))
	}
	return names
}

// sample reads "20:0.300 0.310 4.1" or, where there are names, "red:0.64 0.33
// 17".
func (l *lightFlags) sample(text string, names []string) (x meter.Sample, err error) {
	form, err := l.form()
	if err != nil {
		return x, err
	}
	if x, err = meter.ParseReading(form, text); err != nil {
		return x, err
	}
	return x, nameHeld(&x, names)
}

// nameHeld holds the name of a reading to those that there are; where there are
// none, what was read is a step, and its level says which.
func nameHeld(x *meter.Sample, names []string) error {
	switch {
	case len(names) == 0 && x.Name != "":
		return fmt.Errorf("%q is no level in per cent; a gray step is written as \"20:0.310 0.330 2.1\"", x.Name)
	case len(names) == 0 || slices.Contains(names, x.Name):
		return nil
	case x.Name == "":
		return fmt.Errorf("%g %% is a level, and these are readings of %s; write them as \"%s:0.310 0.330 17.2\"", 100*x.Level, strings.Join(names, ", "), names[0])
	}
	return fmt.Errorf("%q is none of %s%s", x.Name, strings.Join(names, ", "), typo.Suggest(x.Name, names))
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
	f, err := openFile(l.From)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := read(f); err != nil {
		return fmt.Errorf("%s: %w", l.From, err)
	}
	return nil
}
