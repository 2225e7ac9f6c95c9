package job

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// mostBytes is the largest file that is read or written. An entry takes about
// 1 kB, so that no work on one set comes near it.
const mostBytes = 64 << 20

// schemaFamily is what the schema of every job begins with.
const schemaFamily = "backporch/job/"

// content is a file as it was read.
type content struct {
	data    []byte
	entries []Entry
	places  [][2]int // of each entry in data
	list    [2]int   // place of the list of entries in data
}

// parse reads a file. The error is a *flaw, *newerSchema or otherSchema.
func parse(data []byte) (*content, error) {
	if err := wellFormed(data); err != nil {
		return nil, err
	}
	all, _ := members(data, 0)
	if data[skipSpace(data, 0)] != '{' {
		return nil, flawAt(data, skipSpace(data, 0), "a job is a JSON object, in braces, and this is not")
	}
	if err := checkSchema(data, all); err != nil {
		return nil, err
	}
	if m, found := twice(data, 0); found {
		return nil, flawAt(data, m.at, "the key %q stands twice in one object", m.key)
	}
	list, ok := find(all, "entries")
	switch {
	case !ok:
		return nil, flawAt(data, skipSpace(data, 0), `the key "entries" is missing`)
	case data[list.start] != '[':
		return nil, flawAt(data, list.start, `"entries" must be a list, in brackets`)
	}
	c := &content{data: data, list: [2]int{list.start, list.end}}
	for _, place := range elements(data, list.start) {
		if err := c.add(place[0], place[1]); err != nil {
			return nil, err
		}
	}
	if !holdsSet(c.entries) {
		return nil, flawAt(data, list.start, "no entry describes the set: one of the kind %q that counts is needed", KindSet)
	}
	return c, nil
}

// wellFormed says whether data is JSON in UTF-8.
func wellFormed(data []byte) error {
	switch {
	case skipSpace(data, 0) == len(data):
		return flawAt(data, 0, "the file is empty")
	case len(bytes.Trim(data, "\x00")) == 0:
		return flawAt(data, 0, "the file holds nothing but zero bytes, as a loss of power can leave it")
	case bytes.HasPrefix(data, []byte("\xef\xbb\xbf")):
		return flawAt(data, 0, "the file begins with a byte order mark: save it as UTF-8 without one")
	}
	if json.Valid(data) && utf8.Valid(data) {
		return nil
	}
	for i := 0; i < len(data); {
		r, n := utf8.DecodeRune(data[i:])
		if r == utf8.RuneError && n == 1 {
			return flawAt(data, i, "byte 0x%02x is no UTF-8 text", data[i])
		}
		i += n
	}
	var v json.RawMessage
	err := json.Unmarshal(data, &v)
	if syn := (*json.SyntaxError)(nil); errors.As(err, &syn) {
		if strings.HasPrefix(syn.Error(), "unexpected end") {
			return flawAt(data, len(data), "the file ends in the middle: it was cut short")
		}
		return flawAt(data, int(syn.Offset)-1, "%v", err) // the offset is behind the character
	}
	if err != nil {
		return flawAt(data, 0, "%v", err)
	}
	return nil
}

// checkSchema looks at the schema before anything else: a newer one may mean
// another thing by every other key.
func checkSchema(data []byte, all []member) error {
	m, ok := find(all, "schema")
	switch {
	case !ok:
		return flawAt(data, skipSpace(data, 0), `the key "schema" is missing; a job has %q there`, Schema)
	case data[m.start] != '"':
		return flawAt(data, m.start, `"schema" must be the text %q`, Schema)
	}
	schema := text(data[m.start:m.end])
	if schema == Schema {
		return nil
	}
	version, ours := strings.CutPrefix(schema, schemaFamily)
	if n, err := strconv.Atoi(version); ours && err == nil && n > 1 {
		return newerSchema(schema)
	}
	return &otherSchema{schema, flawAt(data, m.start, "the schema is %q, and that of a job is %q", schema, Schema)}
}

// raw returns entry i, from 0, as it stands in the file.
func (c *content) raw(i int) json.RawMessage {
	return c.data[c.places[i][0]:c.places[i][1]:c.places[i][1]]
}

// add reads the entry at that place.
func (c *content) add(start, end int) error {
	n := len(c.entries) + 1
	fail := func(at int, format string, args ...any) error {
		return flawAt(c.data, at, "entry %d: %s", n, fmt.Sprintf(format, args...))
	}
	if c.data[start] != '{' {
		return fail(start, "must be an object, in braces")
	}
	all, _ := members(c.data, start)
	at := func(key string) int {
		if m, ok := find(all, key); ok {
			return m.start
		}
		return start
	}
	e, err := decode(c.data[start:end])
	var wrong *json.UnmarshalTypeError
	switch {
	case errors.As(err, &wrong):
		return fail(valueAt(c.data, start, start+int(wrong.Offset)), "%q must be %s, not %s", wrong.Field, kindWords(wrong.Type), valueWords(wrong.Value))
	case err != nil: // nothing else reads itself
		return fail(at("time"), `"time" must be like "2026-11-25T14:02:00Z"`)
	}
	switch {
	case e.ID == 0:
		return fail(at("id"), `"id" is missing; it must be %d here`, n)
	case e.ID < n:
		return fail(at("id"), "id %d has been used before; it must be %d here", e.ID, n)
	case e.ID > n:
		return fail(at("id"), "id %d follows id %d: what stood between them is missing", e.ID, n-1)
	case e.Time.IsZero():
		return fail(at("time"), `"time" is missing`)
	case e.Kind == "":
		return fail(at("kind"), `"kind" is missing`)
	case !e.holds():
		return fail(start, "it is of the kind %q, and the key %q with what that is about is missing", e.Kind, e.Kind)
	case e.Corrects < 0 || e.Corrects >= n:
		return fail(at("corrects"), "it corrects entry %d, which is not an earlier one", e.Corrects)
	}
	c.entries = append(c.entries, e)
	c.places = append(c.places, [2]int{start, end})
	return nil
}

// decode reads one entry. Of a kind that this program does not know only the
// head is read: what the rest is like is not known either.
func decode(raw []byte) (Entry, error) {
	var e Entry
	err := json.Unmarshal(raw, &e)
	if err != nil && !e.Kind.Known() {
		var head struct {
			ID       int       `json:"id"`
			Time     time.Time `json:"time"`
			Kind     Kind      `json:"kind"`
			Program  string    `json:"program"`
			By       string    `json:"by"`
			Corrects int       `json:"corrects"`
			Text     string    `json:"text"`
		}
		if err = json.Unmarshal(raw, &head); err == nil && head.Kind != "" && !head.Kind.Known() {
			e = Entry{ID: head.ID, Time: head.Time, Kind: head.Kind, Program: head.Program, By: head.By, Corrects: head.Corrects, Text: head.Text}
		}
	}
	e.Time = e.Time.UTC()
	return e, err
}

// holds says whether an entry has what its kind names; of an unknown kind that
// is not known.
func (e *Entry) holds() bool {
	switch e.Kind {
	case KindSet:
		return e.Set != nil
	case KindDone:
		return e.Done != nil
	case KindMeasure:
		return e.Measure != nil
	case KindStep:
		return e.Step != nil
	case KindLimit:
		return e.Limit != nil
	}
	return true
}

// kindWords says what kind of JSON value a Go type takes.
func kindWords(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Bool:
		return "true or false"
	case reflect.Int:
		return "a whole number"
	case reflect.Float64:
		return "a number"
	case reflect.String:
		return "text"
	case reflect.Slice:
		return "a list"
	}
	return "an object"
}

// valueWords says of encoding/json's word for a value what a person calls it.
func valueWords(v string) string {
	switch v {
	case "string":
		return "text"
	case "bool":
		return "true or false"
	case "array":
		return "a list"
	case "object":
		return "an object"
	case "number":
		return "a number"
	}
	return v // "number 1.5"
}
