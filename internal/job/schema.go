package job

import (
	"fmt"
	"reflect"
	"strings"
	"time"
)

// SchemaText describes the file, key by key, for people and for those who write
// programs that read it.
func SchemaText() string {
	var b strings.Builder
	fmt.Fprintf(&b, schemaHead, Schema)
	words := schemaWords()
	for _, o := range schemaObjects() {
		fmt.Fprintf(&b, "\n%s\n", o.title)
		for _, f := range fieldsOf(o.of) {
			kind := jsonKind(f.of)
			if f.optional {
				kind += ", optional"
			}
			head := fmt.Sprintf("  %-23s %-25s ", f.key, kind)
			b.WriteString(head + wrapped(words[o.of.Name()+"."+f.key], len(head)) + "\n")
		}
	}
	return b.String()
}

const schemaHead = `A job is one JSON file, NAME.json, in UTF-8:

  {
    "schema": %q,
    "entries": [ ... ]
  }

Entries are only ever added. What is wrong in one is put right by a new one that
corrects it: "corrects" holds the id of an earlier entry of the same kind, or of
any kind if the new one is a note, which withdraws it. A corrected entry no longer
counts, and is never altered.

Within a schema keys and kinds are only added. A program keeps keys and kinds of
entries that it does not know, and refuses a file of a higher schema.

Beside the file stand NAME.json.good, the last good copy, and NAME.json.lock, which
a program locks while it writes. Whoever writes the file with another program takes
that lock (flock on Unix, LockFileEx on byte 0 on Windows) and renames a complete
file over the old one.

Levels are in per cent of the signal from black to white, light in cd/m2, lengths
in mm. A key that is optional is left out where there is nothing to say.
`

// schemaWidth is the longest line, in characters.
const schemaWidth = 110

// wrapped breaks words that begin in a column, and begins every line there.
func wrapped(words string, column int) string {
	var b strings.Builder
	at := column
	for i, w := range strings.Fields(words) {
		switch {
		case i == 0:
		case at+1+len(w) > schemaWidth:
			b.WriteString("\n" + strings.Repeat(" ", column))
			at = column
		default:
			b.WriteByte(' ')
			at++
		}
		b.WriteString(w)
		at += len(w)
	}
	return b.String()
}

// object is one kind of JSON object in the file.
type object struct {
	title string
	of    reflect.Type
}

// schemaObjects lists them, each after what it stands in.
func schemaObjects() []object {
	return []object{
		{"An entry", reflect.TypeFor[Entry]()},
		{`"set": what stands on the bench (kind set; the last one counts)`, reflect.TypeFor[Set]()},
		{`An element of "inputs"`, reflect.TypeFor[Input]()},
		{`"done": how a step ended (kind done)`, reflect.TypeFor[Done]()},
		{`"measure": readings taken together (kind measure)`, reflect.TypeFor[Measurement]()},
		{`An element of "light"`, reflect.TypeFor[Light]()},
		{`An element of "controls"`, reflect.TypeFor[Control]()},
		{`An element of "rulers": a crossing of the crosshatch on the glass`, reflect.TypeFor[Ruler]()},
		{`"edges": the visible screen`, reflect.TypeFor[Edges]()},
		{`An element of "offsets": misconvergence of a gun against the green one`, reflect.TypeFor[Offset]()},
		{`An element of "grades": what an eye says`, reflect.TypeFor[Grade]()},
		{`An element of "bars": light with the blue gun alone`, reflect.TypeFor[Bar]()},
		{`An element of "sizes": the picture's size`, reflect.TypeFor[Size]()},
		{`"source": what a check of the source said`, reflect.TypeFor[Check]()},
		{`"step": a step of the user's own (kind step)`, reflect.TypeFor[Step]()},
		{`An element of "after" and "again"`, reflect.TypeFor[Need]()},
		{`"limit": a tolerance of the user's own (kind limit)`, reflect.TypeFor[Limit]()},
	}
}

// key is one key of an object.
type key struct {
	key      string
	optional bool
	of       reflect.Type
}

// fieldsOf lists the keys that encoding/json reads into a struct.
func fieldsOf(t reflect.Type) (all []key) {
	for i := range t.NumField() {
		f := t.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if f.IsExported() && name != "-" && name != "" {
			all = append(all, key{name, strings.Contains(options, "omitempty"), f.Type})
		}
	}
	return all
}

// jsonKind says what a key holds.
func jsonKind(t reflect.Type) string {
	switch {
	case t == reflect.TypeFor[time.Time]():
		return "time"
	case t.Kind() == reflect.Pointer:
		return jsonKind(t.Elem())
	case t.Kind() == reflect.Slice && t.Elem().Kind() == reflect.String:
		return "list of text"
	}
	switch t.Kind() {
	case reflect.Bool:
		return "true or false"
	case reflect.Int:
		return "whole number"
	case reflect.Float64:
		return "number"
	case reflect.String:
		return "text"
	case reflect.Slice:
		return "list"
	}
	return "object"
}
