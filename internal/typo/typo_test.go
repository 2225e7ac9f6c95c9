package typo

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestSuggest(t *testing.T) {
	names := []string{"flat", "ramp", "window", "bars-full"}
	for name, want := range map[string]string{
		"falt":   ` (did you mean flat?)`, // two letters replaced
		"Ramps":  ` (did you mean ramp?)`,
		"win":    ` (did you mean window?)`, // a beginning
		"bars":   ` (did you mean bars-full?)`,
		"":       "",
		"circle": "",
	} {
		assert.Equal(t, want, Suggest(name, names), name)
	}
	assert.Empty(t, Suggest("flat", nil))
}
