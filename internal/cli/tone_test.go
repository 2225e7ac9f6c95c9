package cli

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestToneFlags(t *testing.T) {
	for _, tt := range []struct {
		name string
		args []string
		want func(t *testing.T, o *toneOptions)
	}{
		{"defaults", nil, func(t *testing.T, o *toneOptions) {
			assert.Equal(t, toneOptions{Streams: o.Streams, Raster: "480i", Frequency: "1000", Rate: 48000, Depth: 16, Channels: 2, Ident: "none"}, *o)
			tone, l, _, err := o.plan()
			require.NoError(t, err)
			assert.Equal(t, -20.0, tone.Level)
			assert.EqualValues(t, 300, l.Frames)
		}},
		{"all", []string{"--raster", "576i", "--frequency", "937.5", "--level", "-12.5", "--channels", "1", "--rate", "44100", "--depth", "24", "--frames", "50", "-o", "a.wav", "--force"},
			func(t *testing.T, o *toneOptions) {
				assert.True(t, o.Force && o.counted && o.leveled)
				assert.Equal(t, "a.wav", o.Output)
				tone, l, r, err := o.plan()
				require.NoError(t, err)
				assert.Equal(t, "576i", r.Name)
				assert.Equal(t, -12.5, tone.Level)
				assert.Equal(t, "1875/2", tone.Frequency.String())
				assert.EqualValues(t, 88200, l.Samples)
			}},
		{"0 dBFS is a level too", []string{"--level", "0", "--ident", "left", "--seconds", "3"}, func(t *testing.T, o *toneOptions) {
			tone, l, _, err := o.plan()
			require.NoError(t, err)
			assert.Zero(t, tone.Level)
			assert.True(t, tone.Ident)
			assert.EqualValues(t, 90, l.Frames)
		}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			called := false
			cmd := newTone(&Streams{}, func(_ context.Context, o *toneOptions) error {
				called = true
				tt.want(t, o)
				return nil
			})
			cmd.SetArgs(tt.args)
			require.NoError(t, cmd.Execute())
			assert.True(t, called, "the command did not run")
		})
	}
}
