package job

import (
	"fmt"
	"reflect"
	"strings"
	"time"
)

// Unknown is something in a file that this program does not know, and keeps.
type Unknown struct {
	Entry int    // its id; 0 for the file itself
	Key   string // such as "set.inputs[0].lens"; "" for a kind of entry
	Kind  Kind   // the kind that is not known, or ""
}

// String is a clause for people.
func (u Unknown) String() string {
	switch {
	case u.Kind != "":
		return fmt.Sprintf("entry %d is of a kind that this program does not know, %q; it is kept", u.Entry, u.Kind)
	case u.Entry == 0:
		return fmt.Sprintf("the file has a key that this program does not know, %q; it is kept", u.Key)
	}
	return fmt.Sprintf("entry %d has a key that this program does not know, %q; it is kept", u.Entry, u.Key)
}

// Unknown lists what this program does not know, in the order of the file.
func (j *Job) Unknown() (all []Unknown) {
	if j.content == nil {
		return nil
	}
	top, _ := members(j.content.data, 0)
	for _, m := range top {
		if !strings.EqualFold(m.key, "schema") && !strings.EqualFold(m.key, "entries") {
			all = append(all, Unknown{Key: m.key})
		}
	}
	for i := range j.content.entries {
		e := &j.content.entries[i]
		if !e.Kind.Known() {
			all = append(all, Unknown{Entry: e.ID, Kind: e.Kind})
			continue
		}
		strangers(j.content.raw(i), 0, reflect.TypeFor[Entry](), "", func(key string) {
			all = append(all, Unknown{Entry: e.ID, Key: key})
		})
	}
	return all
}

// strangers tells of each key of the value at i that its type does not have.
func strangers(data []byte, i int, t reflect.Type, path string, tell func(key string)) {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch {
	case t == reflect.TypeFor[time.Time]():
	case t.Kind() == reflect.Slice:
		for n, e := range elements(data, i) {
			strangers(data, e[0], t.Elem(), fmt.Sprintf("%s[%d]", path, n), tell)
		}
	case t.Kind() == reflect.Struct:
		known := fieldsOf(t)
		all, _ := members(data, i)
		for _, m := range all {
			at := m.key
			if path != "" {
				at = path + "." + m.key
			}
			var of reflect.Type
			for _, k := range known {
				if strings.EqualFold(k.key, m.key) {
					of = k.of
				}
			}
			if of == nil {
				tell(at)
				continue
			}
			strangers(data, m.start, of, at, tell)
		}
	}
}
