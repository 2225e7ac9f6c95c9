package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/job"
)

// noJobVariables keeps the tester's own jobs out of a test, and has a folder of
// its own.
func noJobVariables(t *testing.T) (dir string) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "bench")
	t.Setenv(benchVariable, dir)
	t.Setenv(jobVariable, "")
	return dir
}

// runAt is run at a time of the test's own.
func runAt(t *testing.T, now time.Time, args ...string) string {
	t.Helper()
	var o, e bytes.Buffer
	s := &Streams{Out: &o, Err: &e, Now: func() time.Time { return now }}
	require.Equal(t, exitDone, Run(context.Background(), s, args), e.String())
	return o.String()
}

func TestJobFlags(t *testing.T) {
	t.Run("new", func(t *testing.T) {
		called := false
		cmd := newJobNew(&Streams{}, func(_ context.Context, o *jobNewOptions) error {
			called = true
			assert.Equal(t, "bench-a", o.Name)
			assert.Equal(t, []string{"composite", "video-2=yc"}, o.Inputs)
			assert.True(t, o.Hot, "a chassis may be live until somebody says otherwise")
			return nil
		})
		cmd.SetArgs([]string{"bench-a", "--tube", "shadow-mask", "--inputs", "composite,video-2=yc"})
		require.NoError(t, cmd.Execute())
		assert.True(t, called, "the command did not run")
	})
	t.Run("next", func(t *testing.T) {
		called := false
		cmd := newJobNext(&Streams{}, func(_ context.Context, o *jobNextOptions) error {
			called = true
			assert.Equal(t, []any{"bench-b", "purity", true, 2, "x.png"}, []any{o.Word, o.Step, o.Render, o.Number, o.Output})
			return nil
		})
		cmd.SetArgs([]string{"bench-b", "--step", "purity", "--render", "--picture", "2", "-o", "x.png"})
		require.NoError(t, cmd.Execute())
		assert.True(t, called, "the command did not run")
	})
	t.Run("done", func(t *testing.T) {
		called := false
		cmd := newJobDone(&Streams{}, func(_ context.Context, o *jobDoneOptions) error {
			called = true
			assert.Equal(t, []any{"white", "out", true, 3}, []any{o.Step, o.Outcome, o.Again, o.Corrects})
			return nil
		})
		cmd.SetArgs([]string{"white", "--outcome", "out", "--again", "--corrects", "3"})
		require.NoError(t, cmd.Execute())
		assert.True(t, called, "the command did not run")
	})
}

// The user's data folder: XDG Base Directory Specification 0.8, which has
// relative paths ignored; the other systems from memory.
func TestBenchFolder(t *testing.T) {
	for _, tt := range []struct {
		name, flag, system string
		env                map[string]string
		want               string // "" for an error
	}{
		{"flag first", "here", "linux", map[string]string{benchVariable: "there"}, "here"},
		{"variable", "", "linux", map[string]string{benchVariable: "there", "HOME": "/h/a"}, "there"},
		{"data folder", "", "linux", map[string]string{"XDG_DATA_HOME": "/data", "HOME": "/h/a"}, "/data/backporch/bench"},
		{"relative data folder", "", "linux", map[string]string{"XDG_DATA_HOME": "data", "HOME": "/h/a"}, "/h/a/.local/share/backporch/bench"},
		{"home", "", "freebsd", map[string]string{"HOME": "/h/a"}, "/h/a/.local/share/backporch/bench"},
		{"macOS", "", "darwin", map[string]string{"HOME": "/u/a", "XDG_DATA_HOME": "/data"}, "/u/a/Library/Application Support/backporch/bench"},
		{"Windows", "", "windows", map[string]string{"LocalAppData": "/local", "HOME": "/h/a"}, "/local/backporch/bench"},
		{"nowhere", "", "linux", nil, ""},
		{"nowhere on Windows", "", "windows", map[string]string{"HOME": "/h/a"}, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := benchFolder(tt.flag, tt.system, func(k string) string { return tt.env[k] })
			if tt.want == "" {
				assert.ErrorContains(t, err, "--bench DIR")
				return
			}
			require.NoError(t, err)
			assert.Equal(t, filepath.FromSlash(tt.want), got)
		})
	}
}

// The clock of the streams is that of the record.
func TestJobClock(t *testing.T) {
	noJobVariables(t)
	at := time.Date(2027, 3, 4, 5, 6, 7, 0, time.UTC)
	runAt(t, at, "job", "new", "bench-a", "--tube", "slot-mask")
	out := runAt(t, at.Add(time.Hour), "job", "done", "proof", "--json")
	var v struct {
		Schema string
		Entry  int
		Time   string `json:"time_utc"`
		Opened []any
	}
	require.NoError(t, json.Unmarshal([]byte(out), &v))
	assert.Equal(t, "backporch/job-entry/1", v.Schema)
	assert.Equal(t, 2, v.Entry)
	assert.Equal(t, "2027-03-04T06:06:07Z", v.Time)
	assert.Contains(t, runAt(t, at, "job", "list"), "2027-03-04 06:06")
}

// What is recorded is what was said: a description that was corrected stays,
// and only what was given changes.
func TestJobSet(t *testing.T) {
	dir := noJobVariables(t)
	now := time.Date(2027, 3, 4, 5, 6, 7, 0, time.UTC)
	runAt(t, now, "job", "new", "--label", "Bench A", "--tube", "shadow-mask", "--guns", "delta", "--size", "406x305", "--class", "grade-1", "--white", "D93")
	runAt(t, now, "job", "set", "--inputs", "rgb,rgb,video-3=yc", "--luminance", "80")
	b := job.Bench{Dir: dir}
	j, err := b.Open("bench-a")
	require.NoError(t, err)
	require.Len(t, j.Entries, 2)
	assert.Equal(t, 1, j.Entries[1].Corrects)
	first, second := *j.Entries[0].Set, *j.Entries[1].Set
	assert.Equal(t, job.Set{
		Label: "Bench A", Tube: job.ShadowMask, Guns: job.Delta, DiagonalMM: 507.8, Aspect: "4:3", // 406 and 305 by Pythagoras
		Inputs: []job.Input{{Name: "composite", Wire: "composite"}}, Raster: "480i", Setup: "as-player",
		White: "D93", Primaries: "smpte-c", Class: job.Grade1, Hot: true,
	}, first)
	first.Inputs = []job.Input{{Name: "rgb", Wire: "rgb"}, {Name: "rgb-2", Wire: "rgb"}, {Name: "video-3", Wire: "yc"}}
	first.Luminance = 80
	assert.Equal(t, first, second)
}

func TestDiagonal(t *testing.T) {
	for text, want := range map[string]float64{"20in": 508, "21in": 533.4, "51cm": 510, "508mm": 508, "400x300": 500} {
		got, err := diagonal(text)
		require.NoError(t, err, text)
		assert.InDelta(t, want, got, .05, text)
	}
	for _, text := range []string{"", "20", "big", "0in", "-3cm", "400x", "1e9in"} {
		_, err := diagonal(text)
		assert.ErrorContains(t, err, "406x305", text)
	}
}

func TestLimitWords(t *testing.T) {
	v := func(f float64) *float64 { return &f }
	for want, l := range map[string]job.Limit{
		"at most 0.4 mm":          {Max: v(.4), Unit: "mm"},
		"at least 80 %":           {Min: v(80), Unit: "%"},
		"70 to 100 cd/m2":         {Min: v(70), Max: v(100), Unit: "cd/m2"},
		"within +-0.5 degrees":    {Min: v(-.5), Max: v(.5), Unit: "degrees"},
		"-1 to 2":                 {Min: v(-1), Max: v(2)},
		"no bound":                {},
		"at most 1400 :1, really": {Max: v(1400), Unit: ":1, really"},
	} {
		assert.Equal(t, want, limitWords(&l))
	}
}

// The command that a step tells and --render make the same file, for every step
// of sets that share little.
func TestJobRender(t *testing.T) {
	sets := [][]string{
		{"bench-a", "--tube", "shadow-mask", "--inputs", "composite,yc,component,rgb", "--setup", "7.5"},
		{"bench-b", "--tube", "aperture-grille", "--raster", "576i", "--inputs", "video-1=composite,component,rgb", "--aspect", "16:9"},
		{"bench-c", "--tube", "slot-mask", "--device", "pixel-256", "--inputs", "composite"},
		{"bench-d", "--tube", "shadow-mask", "--guns", "delta", "--device", "player-625", "--raster", "288p", "--inputs", "yc"},
	}
	if testing.Short() {
		sets = sets[2:3]
	}
	for _, set := range sets {
		t.Run(set[0], func(t *testing.T) {
			noJobVariables(t)
			t.Chdir(t.TempDir())
			code, _, errs := run(t, append([]string{"job", "new"}, set...)...)
			require.Equal(t, exitDone, code, errs)
			w, err := (&jobFlags{}).open(&Streams{}, "")
			require.NoError(t, err)
			require.NotEmpty(t, w.States)
			seen := map[string]bool{}
			for _, s := range w.States {
				_, out, _ := run(t, "job", "next", "--step", s.Key)
				for i, spec := range stepPatterns(&s.Step) {
					if strings.HasPrefix(spec, "bounce") || strings.HasPrefix(spec, "field-order") {
						continue // videos of many frames
					}
					command := renderCommand(w.Set(), &s.Step, spec)
					assert.Contains(t, out, "\n  "+command+"\n")
					if seen[command] {
						continue
					}
					seen[command] = true
					args := strings.Fields(command)
					code, _, errs := run(t, append(args[1:], "--force", "-o", "told.png")...)
					require.Equal(t, exitDone, code, "%s: %s", command, errs)
					code, _, errs = run(t, "job", "next", "--step", s.Key, "--render", "--picture", string(rune('1'+i)), "--format", "png", "--force", "-o", "made.png")
					require.Equal(t, exitDone, code, "%s, %s: %s", s.Key, spec, errs)
					assert.True(t, bytes.Equal(contents(t, "told.png"), contents(t, "made.png")), "%s, %s", s.Key, spec)
				}
			}
		})
	}
}

func contents(t *testing.T, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(name)
	require.NoError(t, err)
	return b
}

// Names of files say step and pattern, and fit devices that have short names.
func TestSlugOf(t *testing.T) {
	for spec, want := range map[string]string{
		"flat color=red":                "flat-red",
		"bars-full set=75/0/75/0":       "bars-full-75-0-75-0",
		"crosshatch color=#ff8000":      "crosshatch-ff8000",
		"staircase modulated":           "staircase-modulated",
		"bounce period=4s area=window":  "bounce-4s-window",
		"focus-field polarity=dark x= ": "focus-field-dark",
	} {
		assert.Equal(t, want, slugOf(spec), spec)
	}
}

// People read what can hurt before they are told what to do.
func TestCautionsComeFirst(t *testing.T) {
	noJobVariables(t)
	code, _, errs := run(t, "job", "new", "bench-a", "--tube", "shadow-mask", "--inputs", "composite,rgb")
	require.Equal(t, exitDone, code, errs)
	w, err := (&jobFlags{}).open(&Streams{}, "")
	require.NoError(t, err)
	some := 0
	for _, s := range w.States {
		_, out, _ := run(t, "job", "next", "--step", s.Key)
		do := strings.Index(out, "\nDo ")
		require.Positive(t, do, s.Key)
		if cautions := len(w.Plan.Cautions(&s.Step)); cautions > 0 {
			some++
			assert.Equal(t, cautions, strings.Count(out[:do], "\nCAUTION "), s.Key)
		}
		assert.NotContains(t, out[do:], "\nCAUTION ", s.Key)
	}
	assert.Greater(t, some, 10, "most steps are at an open set")
}

// 1 is work that failed, 2 a wrong command line.
func TestJobExitCodes(t *testing.T) {
	dir := noJobVariables(t)
	code, _, errs := run(t, "job", "new", "bench-a", "--tube", "shadow-mask")
	require.Equal(t, exitDone, code, errs)
	for _, tt := range []struct {
		code int
		line string
	}{
		{exitUsage, "job nothing"},
		{exitUsage, "job new"},
		{exitUsage, "job new a/b --tube shadow-mask"},
		{exitUsage, "job new b --tube round"},
		{exitFailed, "job new bench-a --tube shadow-mask"},
		{exitUsage, "job show bench-b"},
		{exitUsage, "job done purity"},
		{exitUsage, "job done nothing"},
		{exitUsage, "job limit black"},
		{exitUsage, "job set"},
		{exitFailed, "job step nothing.toml"},
		{exitDone, "job list"},
	} {
		code, _, errs := run(t, strings.Fields(tt.line)...)
		assert.Equal(t, tt.code, code, "%s: %s", tt.line, errs)
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, "bench-b.json"), []byte("{"), 0o600))
	code, out, _ := run(t, "job", "list")
	assert.Equal(t, exitFailed, code, "a damaged job")
	assert.Contains(t, out, "bench-a", "the others are listed all the same")
}

// Doing what is next until nothing is comes to the end, by the commands alone;
// a loop that is gone through again opens steps, with reasons.
func TestJobPlayed(t *testing.T) {
	noJobVariables(t)
	code, _, errs := run(t, "job", "new", "bench-a", "--tube", "slot-mask", "--inputs", "composite,yc,component,rgb")
	require.Equal(t, exitDone, code, errs)
	next := func() (step string, steps int) {
		_, out, errs := run(t, "job", "next", "--json")
		var v struct {
			Step  string
			Steps int
		}
		require.NoError(t, json.Unmarshal([]byte(out), &v), errs)
		return v.Step, v.Steps
	}
	_, steps := next()
	for range steps {
		step, _ := next()
		require.NotEmpty(t, step)
		code, _, errs := run(t, "job", "done", step)
		require.Equal(t, exitDone, code, errs)
	}
	step, _ := next()
	assert.Empty(t, step)
	_, out, _ := run(t, "job", "done", "drive", "--again", "--json")
	var v struct{ Opened []struct{ Step, Why string } }
	require.NoError(t, json.Unmarshal([]byte(out), &v))
	require.NotEmpty(t, v.Opened)
	for _, o := range v.Opened {
		assert.NotEmpty(t, o.Why, o.Step)
	}
	step, _ = next()
	assert.NotEmpty(t, step)
}
