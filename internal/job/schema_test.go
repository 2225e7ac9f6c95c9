package job

import (
	"fmt"
	"reflect"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every key of every object has words, and no words are left over.
func TestSchemaWords(t *testing.T) {
	words, used := schemaWords(), map[string]bool{}
	for _, o := range schemaObjects() {
		for _, f := range fieldsOf(o.of) {
			name := o.of.Name() + "." + f.key
			used[name] = true
			assert.NotEmpty(t, words[name], "%s has no words", name)
		}
	}
	for name := range words {
		assert.True(t, used[name], "%s is no key", name)
	}
}

// Every struct that an entry can hold is described, and no field is without a
// key.
func TestSchemaComplete(t *testing.T) {
	listed := map[reflect.Type]bool{}
	for _, o := range schemaObjects() {
		assert.False(t, listed[o.of], "%v stands twice", o.of)
		listed[o.of] = true
		assert.Len(t, fieldsOf(o.of), o.of.NumField(), "a field of %v has no key", o.of)
	}
	var reach func(t reflect.Type)
	reached := map[reflect.Type]bool{}
	reach = func(of reflect.Type) {
		for of.Kind() == reflect.Pointer || of.Kind() == reflect.Slice {
			of = of.Elem()
		}
		if of.Kind() != reflect.Struct || reached[of] || of.PkgPath() != reflect.TypeFor[Entry]().PkgPath() {
			return
		}
		reached[of] = true
		assert.True(t, listed[of], "%v is not described", of)
		for i := range of.NumField() {
			reach(of.Field(i).Type)
		}
	}
	reach(reflect.TypeFor[Entry]())
	assert.Equal(t, reached, listed)
}

// A key that holds a measure says its unit.
func TestSchemaUnits(t *testing.T) {
	words := schemaWords()
	for name, w := range words {
		for suffix, unit := range map[string]string{"_mm": "mm", "_cd_m2": "cd/m2", "_percent": "%"} {
			if strings.HasSuffix(name, suffix) {
				assert.Contains(t, w, unit, name)
			}
		}
	}
}

func TestSchemaText(t *testing.T) {
	text := SchemaText()
	assert.Contains(t, text, `"schema": "backporch/job/1"`)
	for _, line := range []string{
		"  time                    time                      when it was made, UTC, RFC 3339: 2026-11-25T14:02:00Z",
		"  corrects                whole number, optional    id of the entry that this one replaces",
		"  Y_cd_m2                 number                    tristimulus Y, CIE 1931, cd/m2: luminance",
		"  findings                list of text, optional    what was found, a sentence each",
	} {
		assert.Contains(t, text, line+"\n")
	}
	for line := range strings.Lines(text) {
		assert.LessOrEqual(t, utf8.RuneCountInString(strings.TrimSuffix(line, "\n")), 110, line)
	}
	assert.NotContains(t, text, "%!")
}

// The words of the file's own entry are those that the file has.
func TestSchemaOfFile(t *testing.T) {
	b := newBench(t)
	j := smallJob(t, b)
	require.Empty(t, j.Unknown())
	for _, key := range []string{"id", "time", "kind", "set", "done", "measure", "text"} {
		assert.Contains(t, slurp(t, j.Path), fmt.Sprintf("%q: ", key))
		assert.NotEmpty(t, schemaWords()["Entry."+key])
	}
}
