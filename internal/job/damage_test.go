package job

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// smallJob is a file with an entry of several kinds.
func smallJob(t testing.TB, b *Bench) *Job {
	create(t, b, "bench-a")
	add(t, b, "bench-a", note("cleaned the neck board"))
	add(t, b, "bench-a", Entry{Kind: KindDone, Done: &Done{Step: "purity", Outcome: OutcomeOK}})
	return add(t, b, "bench-a", gray(80))
}

func TestDamageReasons(t *testing.T) {
	b := newBench(t)
	j := smallJob(t, b)
	good := slurp(t, j.Path)
	swap := func(old, fresh string) string {
		t.Helper()
		require.Equal(t, 1, strings.Count(good, old), old)
		return strings.Replace(good, old, fresh, 1)
	}
	cutAt := strings.Index(good, `"text"`)
	for _, tt := range []struct {
		what, text string
		at         string // what stands at the place that is told; "" for the end
		reason     string
	}{
		{"empty", "", ``, "the file is empty"},
		{"blank", " \n\n", " \n\n", "the file is empty"},
		{"zero bytes", strings.Repeat("\x00", 100), "\x00", "the file holds nothing but zero bytes, as a loss of power can leave it"},
		{"a byte order mark", "\xef\xbb\xbf" + good, "\xef\xbb\xbf", "the file begins with a byte order mark: save it as UTF-8 without one"},
		{"not JSON", "Bench A: all is well\n", "Bench A", "invalid character 'B' looking for beginning of value"},
		{"a list", "\n  [1]", "[1]", "a job is a JSON object, in braces, and this is not"},
		{"cut short", good[:cutAt], ``, "the file ends in the middle: it was cut short"},
		{"written twice", good + good, "{", "invalid character '{' after top-level value"},
		{"a comma too many", swap(`"kind": "note",`, `"kind": "note",,`), ",\n", "invalid character ',' looking for beginning of object key string"},
		{"not UTF-8", swap("cleaned the", "cleaned \xff the"), "\xff the", "byte 0xff is no UTF-8 text"},
		{"no schema", swap(`"schema"`, `"scheme"`), "{", `the key "schema" is missing; a job has "backporch/job/1" there`},
		{"a schema that is no text", swap(`"backporch/job/1"`, "1"), "1,", `"schema" must be the text "backporch/job/1"`},
		{"another schema", swap("job/1", "jib/1"), `"backporch/jib/1"`, `the schema is "backporch/jib/1", and that of a job is "backporch/job/1"`},
		{"an older schema than any", swap("job/1", "job/0"), `"backporch/job/0"`, `the schema is "backporch/job/0", and that of a job is "backporch/job/1"`},
		{"no entries", swap(`"entries"`, `"entrees"`), "{", `the key "entries" is missing`},
		{"entries that are no list", `{"schema":"backporch/job/1","entries":{}}`, "{}", `"entries" must be a list, in brackets`},
		{"no set", `{"schema":"backporch/job/1","entries":[]}`, "[]", `no entry describes the set: one of the kind "set" that counts is needed`},
		{"an entry that is no object", `{"schema":"backporch/job/1","entries":[7]}`, "7]", "entry 1: must be an object, in braces"},
		{"a key twice", swap(`"kind": "note",`, `"kind": "note", "Kind": "done",`), `"Kind": "done"`, `the key "Kind" stands twice in one object`},
		{"a key twice, deep down", swap(`"name": "video-1",`, `"name": "video-1", "name": "video-2",`), `"name": "video-2"`, `the key "name" stands twice in one object`},
		{"a number for text", swap(`"text": "cleaned the neck board"`, `"text": 7`), "7\n", `entry 2: "text" must be text, not a number`},
		{"text for a number", swap(`"diagonal_mm": 480`, `"diagonal_mm": "20in"`), `"20in"`, `entry 1: "set.diagonal_mm" must be a number, not text`},
		{"a broken number", swap(`"id": 3`, `"id": 3.5`), "3.5", `entry 3: "id" must be a whole number, not number 3.5`},
		{"a list for an object", swap(`"done": {`, `"done": [], "gone": {`), "[]", `entry 3: "done" must be an object, not a list`},
		{"no time", swap(`"time": "2026-11-25T14:02:03Z",
      "kind": "note"`, `"kind": "note"`), "{\n      \"id\": 2", `entry 2: "time" is missing`},
		{"a time of another kind", swap(`"time": "2026-11-25T14:02:03Z",
      "kind": "note"`, `"time": "yesterday",
      "kind": "note"`), `"yesterday"`, `entry 2: "time" must be like "2026-11-25T14:02:00Z"`},
		{"a time that is a number", swap(`"time": "2026-11-25T14:02:03Z",
      "kind": "note"`, `"time": 1,
      "kind": "note"`), "1,", `entry 2: "time" must be like "2026-11-25T14:02:00Z"`},
		{"no id", swap(`"id": 2,`, ""), "{\n", `entry 2: "id" is missing; it must be 2 here`},
		{"an id twice", swap(`"id": 3`, `"id": 2`), "2,\n      \"time\": \"2026-11-25T14:02:03Z\",\n      \"kind\": \"done\"", "entry 3: id 2 has been used before; it must be 3 here"},
		{"an entry taken out", swap(`"id": 3`, `"id": 4`), "4,", "entry 3: id 4 follows id 2: what stood between them is missing"},
		{"no kind", swap(`"kind": "note",`, ""), "{\n      \"id\": 2", `entry 2: "kind" is missing`},
		{"a kind without its own", swap(`"done": {`, `"gone": {`), "{\n      \"id\": 3", `entry 3: it is of the kind "done", and the key "done" with what that is about is missing`},
		{"a correction of a later one", swap(`"kind": "note",`, `"kind": "note", "corrects": 3,`), "3,", "entry 2: it corrects entry 3, which is not an earlier one"},
	} {
		t.Run(tt.what, func(t *testing.T) {
			put(t, j.Path, tt.text)
			_, err := b.Open("bench-a")
			var d *DamageError
			require.ErrorAs(t, err, &d)
			assert.Equal(t, tt.reason, d.Reason)
			rest := from(t, tt.text, d)
			assert.True(t, strings.HasPrefix(rest, tt.at) && (rest == "" || tt.at != ""), "line %d, column %d, where stands %.20q", d.Line, d.Column, rest)
			_, err = b.Append(t.Context(), "bench-a", always(note("x")))
			require.ErrorAs(t, err, new(*DamageError))
			assert.Equal(t, tt.text, slurp(t, j.Path), "it is left as it is")
			assert.Equal(t, good, slurp(t, j.Path+".good"), "and so is the copy")
		})
	}
}

// from returns what stands from the place of the damage on.
func from(t *testing.T, text string, d *DamageError) string {
	lines := strings.SplitAfter(text, "\n")
	require.LessOrEqual(t, d.Line, len(lines))
	rest := strings.Join(lines[d.Line-1:], "")
	for range d.Column - 1 {
		_, n := utf8.DecodeRuneInString(rest)
		rest = rest[n:]
	}
	return rest
}

// The message says how to go on, and what it says works.
func TestDamageWayOut(t *testing.T) {
	b := newBench(t)
	j := smallJob(t, b)
	good := slurp(t, j.Path)
	put(t, j.Path, good[:200])
	_, err := b.Open("bench-a")
	assert.EqualError(t, err, strings.ReplaceAll("PATH is damaged: line 10, column 30: the file ends in the middle: it was cut short; it is left as it is; mend the line in a text editor, or go on from the last good copy, which has 4 entries, the last of 2026-11-25 14:02:03 UTC: mv PATH PATH.damaged, then mv PATH.good PATH", "PATH", j.Path))
	jobs, broken, err := b.List()
	require.NoError(t, err)
	assert.Empty(t, jobs)
	assert.Len(t, broken, 1)

	shell(t, fmt.Sprintf("mv %s %s && mv %s %s", j.Path, j.Path+".damaged", j.Path+".good", j.Path))
	got, err := b.Open("bench-a")
	require.NoError(t, err)
	assert.Equal(t, j.Entries, got.Entries)
	add(t, b, "bench-a", note("on we go"))
}

// A copy that is damaged, too, is not offered, and a good file needs none.
func TestDamagedCopy(t *testing.T) {
	b := newBench(t)
	j := smallJob(t, b)
	good := slurp(t, j.Path)
	put(t, j.Path+".good", good[:100])
	_, err := b.Open("bench-a")
	require.NoError(t, err)
	put(t, j.Path, good[:200])
	_, err = b.Open("bench-a")
	assert.ErrorContains(t, err, "there is no good copy beside it: mend the line in a text editor, or bring the file back from a backup")
	put(t, j.Path, good)
	add(t, b, "bench-a", note("x"))
	assert.Equal(t, slurp(t, j.Path), slurp(t, j.Path+".good"), "the next write makes the copy good again")
}

// A file that is shorter than its copy was cut by hand or brought back from a
// backup: which of them holds is for a person to say.
func TestCopyAhead(t *testing.T) {
	b := newBench(t)
	create(t, b, "bench-a")
	j := add(t, b, "bench-a", note("two"))
	older := slurp(t, j.Path)
	add(t, b, "bench-a", note("three"))
	longer := slurp(t, j.Path)
	put(t, j.Path, older)
	_, err := b.Open("bench-a")
	assert.EqualError(t, err, strings.ReplaceAll("PATH has 2 entries, and its last good copy PATH.good has 3, the last of 2026-11-25 14:02:03 UTC: the file was shortened or replaced by an older one; nothing is written until one of them is chosen: to go on from the copy, mv PATH PATH.short, then mv PATH.good PATH; to go on from the file, mv PATH.good PATH.good.long", "PATH", j.Path))
	_, err = b.Append(t.Context(), "bench-a", always(note("x")))
	require.Error(t, err)
	assert.Equal(t, older, slurp(t, j.Path))
	assert.Equal(t, longer, slurp(t, j.Path+".good"))
	shell(t, "mv "+j.Path+".good "+j.Path+".good.long")
	assert.Len(t, add(t, b, "bench-a", note("another three")).Entries, 3)
}

// Whatever happens to a byte of a small file, it is read as a valid one or
// reported with its place, and neither reading nor writing touches the copy.
func TestDamageEverywhere(t *testing.T) {
	b := newBench(t)
	j := smallJob(t, b)
	good := slurp(t, j.Path)
	copyPath := j.Path + ".good"
	valid, reported := 0, 0
	f, err := b.files("bench-a")
	require.NoError(t, err)
	kept, err := f.goodCopy()
	require.NoError(t, err)
	open := func(i int, text string) ([]Entry, error) {
		if i%50 == 0 { // now and then the whole way
			put(t, j.Path, text)
			got, err := b.Open("bench-a")
			if err != nil {
				return nil, err
			}
			return got.Entries, nil
		}
		c, err := parse([]byte(text))
		if err != nil {
			return nil, f.explain(err, kept)
		}
		return c.entries, nil
	}
	try := func(i int, how, text string) {
		got, err := open(i, text)
		if err == nil {
			valid++
			for n, e := range got {
				require.Equal(t, n+1, e.ID)
			}
			return
		}
		reported++
		var d *DamageError
		var newer *NewerError
		switch {
		case strings.Contains(err.Error(), "backporch/job/"): // a byte of the schema
			require.True(t, asOne(err, &newer) || asOne(err, &d), "%v", err)
		default:
			require.True(t, asOne(err, &d), "byte %d %s: %v", i, how, err)
		}
		if d != nil {
			require.Positive(t, d.Line)
			require.LessOrEqual(t, d.Line, strings.Count(text, "\n")+1)
			require.Positive(t, d.Column)
			require.Equal(t, copyPath, d.Copy)
		}
	}
	for i := range len(good) {
		try(i, "cut here", good[:i])
		try(i, "left out", good[:i]+good[i+1:])
		for _, mask := range []byte{0x01, 0x02, 0x20, 0x80, 0xff} {
			flipped := []byte(good)
			flipped[i] ^= mask
			try(i, fmt.Sprintf("xor %02x", mask), string(flipped))
		}
		try(i, "zeros from here", good[:i]+strings.Repeat("\x00", len(good)-i))
		require.Equal(t, good, slurp(t, copyPath))
	}
	t.Logf("%d bytes: %d changes left a valid file, %d were reported", len(good), valid, reported)
	assert.Positive(t, valid)
	assert.Greater(t, reported, valid)
	put(t, j.Path, good)
	_, err = b.Open("bench-a")
	require.NoError(t, err)
}

func TestNewerSchema(t *testing.T) {
	b := newBench(t)
	j := smallJob(t, b)
	for _, text := range []string{
		strings.Replace(slurp(t, j.Path), "job/1", "job/2", 1),
		`{"entries": "are now elsewhere", "schema": "backporch/job/12"}`,
	} {
		put(t, j.Path, text)
		_, err := b.Append(t.Context(), "bench-a", always(note("x")))
		var newer *NewerError
		require.ErrorAs(t, err, &newer)
		assert.Equal(t, fmt.Sprintf("%s was written by a newer program: its schema is %q, and this program reads and writes \"backporch/job/1\"; the file is left as it is; use the newer program for it", j.Path, newer.Schema), err.Error())
		assert.Equal(t, text, slurp(t, j.Path))
		_, broken, err := b.List()
		require.NoError(t, err)
		assert.Len(t, broken, 1)
	}
}

// What a newer program or a person has put into the file stays, byte for byte
// and in its place.
func TestUnknownIsKept(t *testing.T) {
	b := newBench(t)
	j := create(t, b, "bench-a")
	byHand := strings.Replace(slurp(t, j.Path), `"schema"`, `"bench": {"no": 4},  "schema"`, 1)
	byHand = strings.Replace(byHand, `"label": "Bench A",`, `"label":"Bench \u0041", "lens" : [1.50, 1e2, {"a":null}],`, 1)
	byHand = strings.Replace(byHand, `"wire": "composite"`, `"wire": "composite", "plug": "bayonet"`, 1)
	byHand = strings.Replace(byHand, "\n  ]\n}\n", `,
    {"id": 2, "kind": "photo", "time": "2026-11-25T15:02:03.5+01:00", "set": "of lenses", "file": "a.jpg"}
  ],
  "zone": "kept",   "list": [ ]
}`, 1)
	put(t, j.Path, byHand)
	j, err := b.Open("bench-a")
	require.NoError(t, err)
	assert.Equal(t, "Bench A", j.Set().Label)
	assert.Equal(t, "2026-11-25T14:02:03.5Z", j.Entries[1].Time.Format("2006-01-02T15:04:05.9Z07:00"))
	var said []string
	for _, u := range j.Unknown() {
		said = append(said, u.String())
	}
	assert.Equal(t, []string{
		`the file has a key that this program does not know, "bench"; it is kept`,
		`the file has a key that this program does not know, "zone"; it is kept`,
		`the file has a key that this program does not know, "list"; it is kept`,
		`entry 1 has a key that this program does not know, "set.lens"; it is kept`,
		`entry 1 has a key that this program does not know, "set.inputs[0].plug"; it is kept`,
		`entry 2 is of a kind that this program does not know, "photo"; it is kept`,
	}, said)
	assert.Equal(t, []int{1, 2}, ids(j.Counting()))

	j = add(t, b, "bench-a", note("three"))
	at := strings.Index(byHand, "\n  ],")
	now := slurp(t, j.Path)
	assert.Equal(t, byHand[:at], now[:at])
	assert.True(t, strings.HasSuffix(now, byHand[at:]))
	assert.JSONEq(t, `{"id":3,"time":"2026-11-25T14:02:03Z","kind":"note","text":"three"}`, string(j.Raw(3)))
	assert.Equal(t, `{"id": 2, "kind": "photo", "time": "2026-11-25T15:02:03.5+01:00", "set": "of lenses", "file": "a.jpg"}`, string(j.Raw(2)))
	assert.Nil(t, j.Raw(4))

	withdrawn := note("wrong photo")
	withdrawn.Corrects = 2
	assert.Equal(t, []int{1, 3, 4}, ids(add(t, b, "bench-a", withdrawn).Counting()))
}

// The way out is typed into a shell.
func TestQuote(t *testing.T) {
	for path, want := range map[string]string{
		"bench/a.json":       "bench/a.json",
		"my bench/a.json":    "'my bench/a.json'",
		"Bob's/a.json":       `'Bob'\''s/a.json'`,
		"$HOME/a.json":       "'$HOME/a.json'",
		"Werkstätte/a.json":  "Werkstätte/a.json",
		"":                   "''",
		`back\slash/a.json`:  `'back\slash/a.json'`,
		"new\nline/a.json":   "'new\nline/a.json'",
		"-dash/bench-a.json": "./-dash/bench-a.json",
	} {
		assert.Equal(t, want, quote(path))
		if got := shell(t, "printf %s "+want); !strings.HasPrefix(path, "-") {
			assert.Equal(t, path, got)
		}
	}
}

// FuzzParse: a file is refused with a place in it, or one more entry leaves all
// that it held as it was.
func FuzzParse(f *testing.F) {
	b := newBench(f)
	j := smallJob(f, b)
	f.Add([]byte(slurp(f, j.Path)))
	f.Add([]byte(`{"a":[{}],"entries":[{"kind":"set","set":{},"id":1,"time":"2026-11-25T14:02:03Z","x":{"\"]":"}"}},{"id":2,"kind":"x","time":"2026-11-25T14:02:03+01:00","set":3}],"schema":"backporch/job/1","z":1e5}`))
	f.Add([]byte(`{"schema":"backporch/job/2"}`))
	f.Add([]byte("{\"schema\":\"x\\u002f\"}"))
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := parse(data)
		if err != nil {
			var bad *flaw
			var newer newerSchema
			if !asOne(err, &newer) {
				require.True(t, asOne(err, &bad), "%v", err)
				require.Positive(t, bad.line)
				require.Positive(t, bad.column)
			}
			return
		}
		e := note("one more")
		b.stamp(&e, len(c.entries)+1)
		more, err := c.with(e)
		require.NoError(t, err)
		d, err := parse(more.data)
		require.NoError(t, err)
		require.Equal(t, d, more, "it is read as it was made")
		require.Len(t, d.entries, len(c.entries)+1)
		for i := range c.entries {
			require.Equal(t, string(c.raw(i)), string(d.raw(i)))
		}
		var old, fresh map[string]json.RawMessage
		require.NoError(t, json.Unmarshal(data, &old))
		require.NoError(t, json.Unmarshal(more.data, &fresh))
		for key, v := range old {
			if !strings.EqualFold(key, "entries") {
				require.Equal(t, string(v), string(fresh[key]), key)
			}
		}
		job := (&files{name: "x", path: filepath.Join("x", "x.json")}).job(c)
		_ = job.Unknown()
		require.NotNil(t, job.Set())
	})
}
