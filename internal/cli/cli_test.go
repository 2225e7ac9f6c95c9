package cli

import (
	"bytes"
	"context"
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/timing"
)

// run runs one command line in the test's process.
func run(t testing.TB, args ...string) (code int, out, errs string) {
	t.Helper()
	var o, e bytes.Buffer
	code = Run(context.Background(), &Streams{Out: &o, Err: &e}, args)
	return code, o.String(), e.String()
}

func TestRenderFlags(t *testing.T) {
	tests := []struct {
		name string
		args []string
		want func(t *testing.T, o *renderOptions)
	}{
		{"defaults", nil, func(t *testing.T, o *renderOptions) {
			assert.Equal(t, pictureFlags{Setup: "as-player", Aspect: "4:3"}, o.pictureFlags)
			assert.Equal(t, 1, o.Frames)
			assert.Empty(t, o.Output)
			assert.False(t, o.Force || o.Clip)
		}},
		{"pattern options", []string{"--set", "100/0/75/0", "--order=reverse"}, func(t *testing.T, o *renderOptions) {
			assert.Equal(t, "100/0/75/0", o.Options[0].String())
			assert.Equal(t, "reverse", o.Options[1].String())
		}},
		{"file", []string{"-o", "a.y4m", "--force", "--clip", "--chroma", "420", "--depth", "10", "--frames", "25"}, func(t *testing.T, o *renderOptions) {
			assert.Equal(t, "a.y4m", o.Output)
			assert.True(t, o.Force && o.Clip)
			assert.Equal(t, "420", o.Format.Chroma)
			assert.Equal(t, 10, o.Format.Depth)
			assert.Equal(t, 25, o.Frames)
		}},
		{"levels", []string{"--setup", "7.5", "--player-setup", "0", "--wire", "composite-m", "--player", "composite-j"}, func(t *testing.T, o *renderOptions) {
			assert.Equal(t, []string{"7.5", "0", "composite-m", "composite-j"}, []string{o.Setup, o.PlayerSetup, o.Wire, o.Player})
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			called := false
			cmd := newRender(&Streams{}, []string{"render"}, func(_ context.Context, o *renderOptions) error {
				called = true
				tt.want(t, o)
				return nil
			})
			cmd.SetArgs(append([]string{"bars-full"}, tt.args...))
			require.NoError(t, cmd.Execute())
			assert.True(t, called, "the command did not run")
		})
	}
}

func TestKitFlags(t *testing.T) {
	called := false
	cmd := newKit(&Streams{}, func(_ context.Context, o *kitOptions) error {
		called = true
		assert.Equal(t, "out", o.Output)
		assert.Equal(t, "288p", o.Raster)
		assert.Equal(t, "10", o.Seconds)
		assert.True(t, o.Force)
		return nil
	})
	cmd.SetArgs([]string{"-o", "out", "--raster", "288p", "--seconds", "10", "--force"})
	require.NoError(t, cmd.Execute())
	assert.True(t, called, "the command did not run")
}

// Shorthands and families of the levels must mean the same, and the player has
// no setup once a setup is asked for (the semantics of the README's table).
func TestPlan(t *testing.T) {
	m, j, pal := colorimetry.CompositeM, colorimetry.CompositeJ, colorimetry.PAL
	tests := []struct {
		name   string
		flags  pictureFlags
		raster string
		want   colorimetry.Plan
	}{
		{"nothing known", pictureFlags{Setup: "as-player"}, "480i", colorimetry.Plan{}},
		{"setup wanted", pictureFlags{Setup: "7.5"}, "480i", colorimetry.Plan{Wire: m, Player: j}},
		{"no setup wanted", pictureFlags{Setup: "0"}, "240p", colorimetry.Plan{Wire: j, Player: j}},
		{"setup of the player", pictureFlags{Setup: "7.5", PlayerSetup: "7.5"}, "480i", colorimetry.Plan{Wire: m, Player: m}},
		{"player known only", pictureFlags{Setup: "as-player", PlayerSetup: "7.5"}, "480i", colorimetry.Plan{Wire: m, Player: m}},
		{"by family", pictureFlags{Setup: "as-player", Wire: "composite-m"}, "480i", colorimetry.Plan{Wire: m, Player: j}},
		{"both spellings", pictureFlags{Setup: "7.5", Wire: "composite-m", Player: "composite-j", PlayerSetup: "0"}, "480i", colorimetry.Plan{Wire: m, Player: j}},
		{"625 lines", pictureFlags{Setup: "0"}, "576i", colorimetry.Plan{Wire: pal, Player: pal}},
		{"component", pictureFlags{Setup: "as-player", Wire: "component-betacam", Player: "component-n10"}, "480i",
			colorimetry.Plan{Wire: colorimetry.LookupFamily("component-betacam"), Player: colorimetry.LookupFamily("component-n10")}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.flags.plan(timing.Lookup(tt.raster), nil, true)
			require.NoError(t, err)
			assert.Equal(t, tt.want, got)
		})
	}
}

// Ten seconds of 480i are 299.7 frames, of 240p 600.54 (timing: exact rates).
func TestSeconds(t *testing.T) {
	for _, tt := range []struct {
		text, raster string
		want         int
	}{
		{"10", "480i", 300}, {"10", "240p", 601}, {"1", "576i", 25}, {"0.001", "576i", 1}, {"1/3", "288p", 17},
	} {
		got, err := seconds(tt.text, timing.Lookup(tt.raster))
		require.NoError(t, err)
		assert.Equal(t, tt.want, got, "%s s of %s", tt.text, tt.raster)
	}
	for _, bad := range []string{"", "0", "-1", "x", "1e9", "NaN"} {
		_, err := seconds(bad, timing.Lookup("480i"))
		var u *usageError
		assert.True(t, errors.As(err, &u), "%q: %v", bad, err)
	}
}

// Every command and every pattern has help with an example, and every flag a
// line of text.
func TestHelp(t *testing.T) {
	root := newRoot(&Streams{}, []string{"render"})
	commands := root.Commands()
	for _, c := range commands {
		commands = append(commands, c.Commands()...)
	}
	require.Greater(t, len(commands), 20)
	for _, c := range commands {
		if c.Name() == "help" || c.Parent() != nil && c.Parent().Name() == "completion" {
			continue
		}
		code, out, errs := run(t, append(fields(c.CommandPath()), "--help")...)
		assert.Equal(t, exitDone, code, c.CommandPath())
		assert.Empty(t, errs, c.CommandPath())
		assert.Contains(t, out, "Usage:", c.CommandPath())
		assert.Contains(t, out, "Examples:", c.CommandPath())
		assert.NotEmpty(t, c.Short, c.CommandPath())
	}
}

// fields drops the program's own name.
func fields(path string) []string {
	var list []string
	for _, f := range bytes.Fields([]byte(path))[1:] {
		list = append(list, string(f))
	}
	return list
}

// Every table of the command line has a valid description and all its forms.
func TestTables(t *testing.T) {
	for _, l := range lists {
		for _, form := range []string{"", "--json", "--csv"} {
			args := []string{"list", l.name}
			if form != "" {
				args = append(args, form)
			}
			code, out, errs := run(t, args...)
			assert.Equal(t, exitDone, code, "%v: %s", args, errs)
			assert.NotEmpty(t, out, args)
		}
	}
	for _, r := range timing.Rasters() {
		code, out, errs := run(t, "show", r.Name, "--json")
		assert.Equal(t, exitDone, code, errs)
		assert.Contains(t, out, r.FrameRate().String())
	}
}

// BenchmarkVersion guards the start of the program: what stands before the
// first command runs.
func BenchmarkVersion(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		run(b, "version")
	}
}

func BenchmarkRenderHelp(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		run(b, "render", "bars-full", "--help")
	}
}
