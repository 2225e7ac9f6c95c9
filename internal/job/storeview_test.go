package job

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func ids(all []Entry) (list []int) {
	for _, e := range all {
		list = append(list, e.ID)
	}
	return list
}

func gray(y float64) Entry {
	return Entry{Kind: KindMeasure, Measure: &Measurement{What: WhatGray, Stage: Before, Input: "video-1", Light: []Light{{Level: 100, X: y, Y: y, Z: y}}}}
}

func TestCorrections(t *testing.T) {
	b := newBench(t)
	create(t, b, "bench-a")                                                                     // 1
	add(t, b, "bench-a", note("purity looks god"))                                              // 2
	add(t, b, "bench-a", Entry{Kind: KindNote, Text: "purity looks good", Corrects: 2})         // 3
	add(t, b, "bench-a", gray(80))                                                              // 4
	add(t, b, "bench-a", Entry{Kind: KindNote, Text: "the meter was not at zero", Corrects: 4}) // 5
	second := benchA()
	second.Set.Label, second.Corrects = "Bench A, left", 1
	j := add(t, b, "bench-a", second) // 6
	assert.Equal(t, []int{3, 5, 6}, ids(j.Counting()))
	assert.Equal(t, "Bench A, left", j.Set().Label)
	_, ok := j.Latest(WhatGray, "", "")
	assert.False(t, ok, "it was withdrawn")

	again := func(e Entry, corrects int) Entry { e.Corrects = corrects; return e }
	for _, tt := range []struct {
		what string
		e    Entry
		want string
	}{
		{"one that is not there", again(note("x"), 7), "entry 7 cannot be corrected: the record has the entries 1 to 6; `backporch job show --entries` lists them; nothing was written"},
		{"below the first", again(note("x"), -1), "entry -1 cannot be corrected: the record has the entries 1 to 6; `backporch job show --entries` lists them; nothing was written"},
		{"twice", again(note("x"), 2), "entry 2 cannot be corrected: entry 3 has corrected it already; correct that one; nothing was written"},
		{"of another kind", again(gray(1), 3), `entry 3 cannot be corrected: it is of the kind "note", which an entry of that kind or a note can correct, and this one is of the kind "measure"; nothing was written`},
		{"the only set", again(note("wrong set"), 6), "entry 6 cannot be corrected: it is the only description of the set, which a note cannot withdraw; describe the set anew with `backporch job set`; nothing was written"},
	} {
		t.Run(tt.what, func(t *testing.T) {
			before := slurp(t, j.Path)
			_, err := b.Append(t.Context(), "bench-a", always(tt.e))
			assert.EqualError(t, err, tt.want)
			assert.Equal(t, before, slurp(t, j.Path))
		})
	}

	add(t, b, "bench-a", benchA()) // 7: two descriptions count, so one may go
	j = add(t, b, "bench-a", again(note("it is the left one after all"), 7))
	assert.Equal(t, "Bench A, left", j.Set().Label)
}

func TestLatest(t *testing.T) {
	b := newBench(t)
	create(t, b, "bench-a")
	add(t, b, "bench-a", gray(80)) // 2
	later := gray(90)
	later.Measure.Stage, later.Measure.Input = After, "component-1"
	add(t, b, "bench-a", later) // 3
	j := add(t, b, "bench-a", gray(85))
	for _, tt := range []struct {
		what  What
		stage Stage
		input string
		want  int
	}{
		{WhatGray, "", "", 4},
		{WhatGray, Before, "", 4},
		{WhatGray, After, "", 3},
		{WhatGray, After, "component-1", 3},
		{WhatGray, "", "component-1", 3},
		{WhatGray, After, "video-1", 0},
		{WhatGuns, "", "", 0},
	} {
		e, ok := j.Latest(tt.what, tt.stage, tt.input)
		assert.Equal(t, tt.want != 0, ok)
		if ok {
			require.NotNil(t, e)
			assert.Equal(t, tt.want, e.ID, "%+v", tt)
		}
	}
	j = add(t, b, "bench-a", Entry{Kind: KindNote, Text: "wrong input", Corrects: 4})
	e, ok := j.Latest(WhatGray, Before, "")
	require.True(t, ok)
	assert.Equal(t, 2, e.ID, "the one before counts again")
}
