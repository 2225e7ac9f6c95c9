package job

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"backporch/internal/typo"
)

// WorkshopFile is the name of a workshop's own file in its folder.
const WorkshopFile = "workshop.toml"

// Workshop is what a workshop's own file adds to every plan.
type Workshop struct {
	Steps  []Step  `toml:"step"`
	Limits []Limit `toml:"limit"`
}

// ParseWorkshop reads a workshop file (TOML); name is the file's, for messages.
// The error has the line and the reason. That steps do not wait for each other
// is held to every kind of set.
func ParseWorkshop(data []byte, name string) (*Workshop, error) {
	f, err := parseTOML(data, name)
	if err != nil {
		return nil, err
	}
	f.source("the workshop's own")
	return &f.Workshop, f.check(&Workshop{})
}

// ParseOwn reads a file of the same form with what is one job's own. It may name
// steps and tolerances of the workshop's (nil for none).
func ParseOwn(data []byte, name string, w *Workshop) (*Workshop, error) {
	f, err := parseTOML(data, name)
	if err != nil {
		return nil, err
	}
	f.source("this job's own")
	if w == nil {
		w = &Workshop{}
	}
	return &f.Workshop, f.check(w)
}

// A workshopText is a file that was read, and where its tables begin.
type workshopText struct {
	Workshop
	name  string
	lines map[string][]int
}

func parseTOML(data []byte, name string) (*workshopText, error) {
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if !utf8.Valid(data) || bytes.IndexByte(data, 0) >= 0 {
		return nil, fmt.Errorf("%s is no text: it is a TOML file, such as `backporch job workshop-file` prints", name)
	}
	f := &workshopText{name: name}
	d := toml.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&f.Workshop); err != nil {
		return nil, tomlError(err, name, data)
	}
	f.lines = tableLines(data)
	return f, nil
}

// at names the line of a table, as an error to be wrapped.
func (f *workshopText) at(table string, n int) error {
	if list := f.lines[table]; n < len(list) {
		return fmt.Errorf("%s:%d", f.name, list[n])
	}
	return errors.New(f.name)
}

// source marks everything as the user's own.
func (f *workshopText) source(own string) {
	for n := range f.Limits {
		l := &f.Limits[n]
		l.Own, l.Source = true, cmp.Or(l.Source, own)
	}
	for n := range f.Steps {
		s := &f.Steps[n]
		s.Own, s.Source = true, cmp.Or(s.Source, own)
	}
}

// check holds the file to itself and to every kind of set, beside what the
// workshop has already.
func (f *workshopText) check(beside *Workshop) error {
	// Grade 1 has the narrowest bounds: what fits between them fits those of all.
	p := &Plan{Limits: limitsOf(Grade1)}
	for n, l := range f.Limits {
		if slices.ContainsFunc(f.Limits[:n], func(o Limit) bool { return o.Key == l.Key }) {
			return fmt.Errorf("%w: tolerance %q twice", f.at("limit", n), l.Key)
		}
		if err := p.own(l); err != nil {
			return fmt.Errorf("%w: %w", f.at("limit", n), err)
		}
	}
	all := &Workshop{Limits: slices.Concat(beside.Limits, f.Limits), Steps: slices.Clone(beside.Steps)}
	for _, s := range f.Steps {
		all.Steps = replaceStep(all.Steps, s)
	}
	for n, s := range f.Steps {
		if slices.ContainsFunc(f.Steps[:n], func(o Step) bool { return o.Key == s.Key }) {
			return fmt.Errorf("%w: step %q twice", f.at("step", n), s.Key)
		}
		if err := checkOwn(&s, all); err != nil {
			return fmt.Errorf("%w: %w", f.at("step", n), err)
		}
	}
	// Steps may name each other, so circles are looked for in all of them.
	if err := everyPlan(all); err != nil {
		return fmt.Errorf("%s: %w", f.name, err)
	}
	return nil
}

// checkOwn is what can be said of one step alone.
func checkOwn(s *Step, all *Workshop) error {
	if _, err := withOwn(nil, []Step{{Key: s.Key}}); err != nil {
		return err
	}
	keys := builtinStems()
	for _, o := range all.Steps {
		keys = append(keys, o.Key)
	}
	for _, needs := range [][]Need{s.After, s.Before, s.Again} {
		if _, err := resolve(s.Key, needs, keys); err != nil {
			return err
		}
	}
	p := &Plan{Limits: limitsOf(Grade1)}
	p.Limits = append(p.Limits, all.Limits...)
	return p.checkSteps([]Step{*s})
}

// everyPlan tries what is the user's own on sets that between them have every
// built-in step.
func everyPlan(w *Workshop) error {
	var errs error
	for _, guns := range []Guns{InLine, Delta} {
		set := &Set{Tube: ShadowMask, Guns: guns, Class: Grade1, Raster: "480i"}
		for _, wire := range Wires() {
			set.Inputs = append(set.Inputs, Input{wire, wire})
		}
		for _, s := range w.Steps {
			if s.Input != "" && !slices.Contains(set.Inputs, Input{s.Input, s.Input}) {
				set.Inputs = append(set.Inputs, Input{s.Input, "rgb"})
			}
		}
		if _, err := NewPlan(set, w, nil); err != nil && errs == nil {
			errs = err
		}
	}
	return errs
}

// tomlError says line, column and reason, and near names of unknown keys.
func tomlError(err error, name string, data []byte) error {
	var strict *toml.StrictMissingError
	if errors.As(err, &strict) && len(strict.Errors) > 0 {
		e := &strict.Errors[0]
		row, column := e.Position()
		key := e.Key()
		last := key[len(key)-1]
		names := tomlNames(key[:len(key)-1])
		if text := bytes.Split(data, []byte("\n"))[row-1]; bytes.LastIndexByte(text[:column-1], '{') > bytes.LastIndexByte(text[:column-1], '}') {
			names = tomlNames([]string{"step", "after"}) // within the braces of a need, which the decoder does not tell
		}
		hint := typo.Suggest(last, names)
		if hint == "" && len(names) > 0 {
			hint = "; it can be " + strings.Join(names, ", ")
		}
		return fmt.Errorf("%s:%d:%d: unknown key %q%s", name, row, column, strings.Join(key, "."), hint)
	}
	var d *toml.DecodeError
	if errors.As(err, &d) {
		row, column := d.Position()
		return fmt.Errorf("%s:%d:%d: %s", name, row, column, strings.TrimPrefix(d.Error(), "toml: "))
	}
	return fmt.Errorf("%s: %s", name, strings.TrimPrefix(err.Error(), "toml: "))
}

// tomlNames lists the keys that a table of the file can have, by the names of
// the tables around it.
func tomlNames(tables []string) (names []string) {
	t := reflect.TypeFor[Workshop]()
	for _, key := range tables {
		for i := range t.NumField() {
			if f := t.Field(i); f.Tag.Get("toml") == key && f.Type.Kind() == reflect.Slice && f.Type.Elem().Kind() == reflect.Struct {
				t = f.Type.Elem()
				break
			}
		}
	}
	for i := range t.NumField() {
		if n := t.Field(i).Tag.Get("toml"); n != "" && n != "-" {
			names = append(names, n)
		}
	}
	return names
}

// tableLines returns the lines of the tables of a text that is known to be good,
// by their name.
func tableLines(data []byte) map[string][]int {
	lines := make(map[string][]int)
	p := &unstable.Parser{}
	p.Reset(data)
	for p.NextExpression() {
		e := p.Expression()
		if e.Kind != unstable.ArrayTable {
			continue
		}
		it := e.Key()
		if it.Next() && it.IsLast() {
			n := it.Node()
			lines[string(n.Data)] = append(lines[string(n.Data)], 1+bytes.Count(data[:n.Raw.Offset], []byte("\n")))
		}
	}
	return lines
}
