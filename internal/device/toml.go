package device

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"backporch/internal/typo"
)

// ParseTOML reads a profile from the text of a file; name is the file's, for
// messages. [Keys] documents what it can say. The error has the line, and the
// arithmetic where a profile contradicts itself.
func ParseTOML(data []byte, name string) (*Profile, error) {
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if !utf8.Valid(data) || bytes.IndexByte(data, 0) >= 0 {
		return nil, fmt.Errorf("%s is no text: a profile is a TOML file, such as `backporch show device --template` prints", name)
	}
	var values map[string]any
	if err := toml.Unmarshal(data, &values); err != nil {
		var d *toml.DecodeError
		if errors.As(err, &d) {
			row, column := d.Position()
			return nil, fmt.Errorf("%s:%d:%d: %s", name, row, column, strings.TrimPrefix(d.Error(), "toml: "))
		}
		return nil, fmt.Errorf("%s: %s", name, strings.TrimPrefix(err.Error(), "toml: "))
	}
	f := &tomlFile{name: name, line: keyLines(data)}
	f.flatten("", values)
	slices.SortFunc(f.keys, func(a, b string) int { return cmp.Or(cmp.Compare(f.line[a], f.line[b]), cmp.Compare(a, b)) })

	d := newDraft()
	if err := f.fill(d); err != nil {
		return nil, err
	}
	p, err := d.profile()
	if err != nil {
		return nil, f.locate(err)
	}
	return p, nil
}

// A tomlFile is the keys of a file and where they stand.
type tomlFile struct {
	name   string
	line   map[string]int // of a key with its table, from 1
	keys   []string       // in the order of the file
	values map[string]any
}

// flatten collects keys with the names of their tables.
func (f *tomlFile) flatten(prefix string, table map[string]any) {
	if f.values == nil {
		f.values = make(map[string]any)
	}
	for k, v := range table {
		if t, ok := v.(map[string]any); ok && (len(t) > 0 || isTable(prefix+k)) {
			f.flatten(prefix+k+".", t)
			continue
		}
		f.keys = append(f.keys, prefix+k)
		f.values[prefix+k] = v
	}
}

// isTable reports whether keys belong to a table of that name.
func isTable(name string) bool {
	return slices.ContainsFunc(keys, func(k Key) bool { return strings.HasPrefix(k.Name, name+".") })
}

// fill reads every key into the draft.
func (f *tomlFile) fill(d *draft) error {
	for _, name := range f.keys {
		n := slices.IndexFunc(keys, func(k Key) bool { return k.Name == name })
		if n < 0 {
			return f.unknown(name)
		}
		if err := keys[n].set(d, f.values[name]); err != nil {
			return fmt.Errorf("%s: %s: %w", f.at(name), name, err)
		}
		d.has[name] = true
	}
	var missing []string
	for _, k := range keys {
		if k.Required && !d.has[k.Name] {
			missing = append(missing, fmt.Sprintf("%s (%s, as in %s = %s)", k.Name, k.Meaning, k.Name, k.Example))
		}
	}
	if len(missing) > 0 {
		return fmt.Errorf("%s: missing: %s", f.name, strings.Join(missing, "; "))
	}
	return nil
}

// unknown refuses a key, with a near name: of the same table, or the last part
// of one of another; else with all of its table.
func (f *tomlFile) unknown(name string) error {
	table, last := "", name
	if n := strings.LastIndex(name, "."); n >= 0 {
		table, last = name[:n+1], name[n+1:]
	}
	var names, beside []string
	far := ""
	for _, k := range keys {
		names = append(names, k.Name)
		rest, within := strings.CutPrefix(k.Name, table)
		if within && !strings.Contains(rest, ".") {
			beside = append(beside, rest)
		}
		if far == "" && strings.HasSuffix(k.Name, "."+last) {
			far = " (did you mean " + k.Name + "?)"
		}
	}
	near := cmp.Or(typo.Suggest(name, names), far)
	if near == "" && len(beside) > 0 {
		near = "; use " + strings.Join(beside, ", ")
	}
	return fmt.Errorf("%s: unknown key %q%s", f.at(name), name, near)
}

func (f *tomlFile) at(key string) string {
	if n := f.line[key]; n > 0 {
		return fmt.Sprintf("%s:%d", f.name, n)
	}
	return f.name
}

// locate adds the line of the key that a fault is about, or of its table, or
// the name of the file alone.
func (f *tomlFile) locate(err error) error {
	var k *keyError
	if !errors.As(err, &k) {
		return fmt.Errorf("%s: %w", f.name, err)
	}
	if f.line[k.key] > 0 {
		return fmt.Errorf("%s: %w", f.at(k.key), err)
	}
	if table, _, ok := strings.Cut(k.key, "."); ok && f.line[table] > 0 {
		return fmt.Errorf("%s: %w", f.at(table), err)
	}
	return fmt.Errorf("%s: %w", f.name, err)
}

// keyLines returns the line of each key and table of a text that is known to be
// good.
func keyLines(data []byte) map[string]int {
	lines := make(map[string]int)
	p := &unstable.Parser{}
	p.Reset(data)
	table := ""
	for p.NextExpression() {
		e := p.Expression()
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			name, line := keyOf(p, data, e.Key())
			note(lines, name, line)
			table = name + "."
		case unstable.KeyValue:
			keyLine(lines, p, data, table, e)
		}
	}
	return lines
}

// keyLine notes a key, and those of the table within it.
func keyLine(lines map[string]int, p *unstable.Parser, data []byte, table string, e *unstable.Node) {
	name, line := keyOf(p, data, e.Key())
	note(lines, table+name, line)
	if v := e.Value(); v.Kind == unstable.InlineTable {
		for it := v.Children(); it.Next(); {
			if n := it.Node(); n.Kind == unstable.KeyValue {
				keyLine(lines, p, data, table+name+".", n)
			}
		}
	}
}

// note keeps the first line of a key.
func note(lines map[string]int, name string, line int) {
	if lines[name] == 0 {
		lines[name] = line
	}
}

func keyOf(p *unstable.Parser, data []byte, it unstable.Iterator) (name string, line int) {
	var parts []string
	for it.Next() {
		n := it.Node()
		if len(parts) == 0 && int(n.Raw.Offset) <= len(data) {
			line = 1 + bytes.Count(data[:n.Raw.Offset], []byte("\n"))
		}
		parts = append(parts, string(n.Data))
	}
	return strings.Join(parts, "."), line
}
