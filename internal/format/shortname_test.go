package format

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The names of devices are those of systems with names of 8 and 3 (memory).
func TestShortName(t *testing.T) {
	for slug, want := range map[string]string{
		"bars":                "BARS",
		"bars-full":           "BARSFULL",
		"bars-full-75-0-75-0": "BARSFULL",
		"01-one-to-one":       "01ONETOO",
		"zone_plate.v2":       "ZONEPLAT",
		"":                    "PICTURE",
		"é-☺":                 "PICTURE",
		"con":                 "CON2", // reserved, as are the next
		"Nul":                 "NUL2",
		"com1":                "COM12",
		"lpt9":                "LPT92",
		"com":                 "COM",
		"console":             "CONSOLE",
	} {
		assert.Equal(t, want, ShortName(slug, nil), slug)
	}
}

// 1,200 pictures of one name get names of their own, in the same order every
// time.
func TestShortNameIsUnique(t *testing.T) {
	taken := map[string]bool{}
	var first []string
	for range 1200 {
		s := ShortName("crosshatch-dots", func(s string) bool { return taken[s] })
		require.Regexp(t, `^[A-Z0-9]{1,8}$`, s)
		require.False(t, taken[s], s)
		taken[s] = true
		first = append(first, s)
	}
	assert.Equal(t, []string{"CROSSHAT", "CROSSHA2", "CROSSHA3"}, first[:3])
	assert.Equal(t, "CROSSH10", first[9])
	assert.Equal(t, fmt.Sprintf("CROS%d", 1200), first[1199])
	assert.Equal(t, "A2", ShortName("a", func(s string) bool { return s == "A" }))
}
