package kit

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/pattern"
)

// The kit is the whole catalogue: no pattern may be left out, and no name of a
// file may be one that an old file system refuses or confuses.
func TestItems(t *testing.T) {
	for _, short := range []bool{false, true} {
		list, err := itemsOf(nil, short)
		require.NoError(t, err)
		in, slugs := map[string]bool{}, map[string]bool{}
		form := `^[0-9]{2}-[a-z0-9-]+$`
		if short {
			form = `^[0-9]{2}[A-Z0-9]{1,6}$`
		}
		for i, it := range list {
			in[it.Entry.Name] = true
			assert.Equal(t, i+1, it.Number)
			assert.Regexp(t, regexp.MustCompile(form), it.Slug)
			assert.False(t, slugs[it.Slug], "%s stands twice", it.Slug)
			slugs[it.Slug] = true
		}
		for _, e := range pattern.All() {
			assert.True(t, in[e.Name], "%s is not in the kit", e.Name)
		}
		assert.Equal(t, "one-to-one", list[0].Entry.Name, "the proof of one-to-one playback comes first")
	}
}

// What must be done before what: purity before convergence, convergence before
// geometry, black level before white level, both before white balance, luma
// before chroma, and the warm-up before all but the proof (common practice).
func TestOrder(t *testing.T) {
	list, err := itemsOf(nil, false)
	require.NoError(t, err)
	number := map[string]int{}
	for _, it := range list {
		number[it.Spec] = it.Number
	}
	for _, row := range []string{
		"one-to-one, flat color=gray-50, flat color=red, crosshatch, circles, focus-field, pluge variant=eg1, window, staircase risers=5, bars-full set=75/0/75/0, multiburst, streaking",
		"flat color=red, flat color=green, flat color=blue, flat color=white, dots",
		"window, ramp, bars-eg1, pulse-bar, line-twitter",
		"staircase risers=5, staircase risers=5 modulated",
		"safe-area, flat color=black",
		"vectors, chroma-delay",
	} {
		specs := strings.Split(row, ", ")
		for i, s := range specs {
			require.Contains(t, number, s)
			if i > 0 {
				assert.Less(t, number[specs[i-1]], number[s], "%s comes before %s", specs[i-1], s)
			}
		}
	}
	var all []*made
	for _, it := range list {
		all = append(all, &made{item: it})
	}
	work := workOf(all)
	require.Len(t, work, len(steps), "each step has pictures")
	assert.Empty(t, work[len(work)-1].Pictures, "the last only goes back to others")
	assert.NotEmpty(t, work[len(work)-1].Earlier)
	for i, w := range work {
		assert.Equal(t, i > 0, w.After != "", "%s says what comes before", w.Title)
	}
}

// Every row that names a spelling must still name something in the list, and
// every step that is named must be there.
func TestStepsNamed(t *testing.T) {
	for group, key := range stepOfGroup {
		assert.NotEqual(t, -1, stepIndex(key), group)
	}
	assert.Len(t, stepOfGroup, len(pattern.Groups()))
	assert.Len(t, groupWords, len(pattern.Groups()))
	for _, row := range stepOfSpelling {
		assert.NotEqual(t, -1, stepIndex(row[1]), row[0])
		found := false
		for _, s := range specs {
			e, err := pattern.Find(strings.Fields(s)[0])
			require.NoError(t, err)
			found = found || strings.HasPrefix(s, strings.Fields(row[0])[0]) && stepOf(s, e) == stepIndex(row[1])
		}
		assert.True(t, found, "%s decides nothing", row[0])
	}
	for _, s := range steps {
		for _, key := range s.Again {
			assert.NotEqual(t, -1, stepIndex(key), s.Title)
		}
	}
}

func TestChosen(t *testing.T) {
	for _, tt := range []struct {
		name  string
		asked []string
		want  []string // among those that are there
		not   []string
		err   string
	}{
		{name: "all", want: specs},
		{name: "a group", asked: []string{"levels"}, want: []string{"one-to-one", "pluge variant=eg1", "streaking"}, not: []string{"flat color=red", "bars-eg1"}},
		{name: "a pattern, all its spellings", asked: []string{"Crosshatch"}, want: []string{"crosshatch", "crosshatch color=cyan"}, not: []string{"crosshatch-dots"}},
		{name: "a spelling of the list", asked: []string{"bars-full set=75/0/75/0"}, want: []string{"bars-full set=75/0/75/0"}, not: []string{"bars-full set=100/0/75/0"}},
		{name: "a spelling of the list in other words", asked: []string{"staircase direction=both risers=10"}, want: []string{"staircase risers=10 direction=both"}, not: []string{"staircase risers=5"}},
		{name: "a spelling of one's own", asked: []string{"flat color=cyan", "time"}, want: []string{"one-to-one", "flat color=cyan", "line-twitter"}, not: []string{"flat color=red"}},
		{name: "a group misspelled", asked: []string{"colr"}, err: `--patterns: unknown pattern or group "colr" (did you mean color?)`},
		{name: "a pattern misspelled", asked: []string{"crosshach"}, err: `(did you mean crosshatch?)`},
		{name: "an option that is none", asked: []string{"flat colour=red"}, err: `pattern flat has no option "colour" (did you mean color?)`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := chosen(tt.asked)
			if tt.err != "" {
				require.ErrorContains(t, err, tt.err)
				return
			}
			require.NoError(t, err)
			assert.Subset(t, got, tt.want)
			for _, s := range tt.not {
				assert.NotContains(t, got, s)
			}
		})
	}
}
