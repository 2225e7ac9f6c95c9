package cli

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/composite"
	"backporch/internal/device"
	"backporch/internal/sinc"
	"backporch/internal/table"
	"backporch/internal/testtable"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// scopeFile writes what a scope at 50 MS/s exports of a pattern on a wire: some
// lines, with all signals of the wire as columns, gain times as high.
func scopeFile(t *testing.T, spec, raster, wire string, first, lines int, gain float64) string {
	t.Helper()
	return scopeFileOf(t, pictureFlags{Raster: raster, Wire: wire, Setup: "as-player", Aspect: "4:3"}, spec, first, lines, gain)
}

// scopeFileOf does so with other flags of the picture.
func scopeFileOf(t *testing.T, p pictureFlags, spec string, first, lines int, gain float64) string {
	t.Helper()
	pt, err := pattern.Parse(spec)
	require.NoError(t, err)
	job, w, err := p.layoutOnWire(pt, spec)
	require.NoError(t, err)
	options := composite.Options{}
	if w.Subcarrier() {
		options = composite.Standard
	}
	e, err := composite.NewEncoder(w, job.Raster.Scan, options)
	require.NoError(t, err)
	wave, err := e.Encode(0, 1, func(r *timing.Raster, n int) (*frame.Frame, error) { return job.Carried(r, n) })
	require.NoError(t, err)
	period, rate := wave.Scan.LinePeriod().Float64(), wave.Rate.Float64()/1e6
	var b strings.Builder
	b.WriteString("Time (us)")
	for _, c := range w.Channels() {
		fmt.Fprintf(&b, ",%s (V)", c)
	}
	b.WriteString("\n")
	from, to := float64(first-1)*period-2, float64(first-1+lines)*period+2
	for i := 0; from+float64(i)/50 < to; i++ {
		x := (from+float64(i)/50)*rate - wave.After(0).Float64()
		base := int(math.Floor(x))
		h := sinc.Weights(x - float64(base))
		fmt.Fprintf(&b, "%.3f", float64(i)/50-2)
		for _, v := range wave.Samples {
			sum := 0.0
			for j, k := range h {
				sum += k * float64(v[base+j-sinc.Taps/2+1])
			}
			fmt.Fprintf(&b, ",%.6f", (gain*sum-30)/1000)
		}
		b.WriteString("\n")
	}
	path := filepath.Join(t.TempDir(), "scope.csv")
	require.NoError(t, os.WriteFile(path, []byte(b.String()), 0o644))
	return path
}

// scopeCommand is a command with the flags of a check of a scope's file.
func scopeCommand(s *Streams) (*scopeCheck, *cobra.Command) {
	o := &scopeCheck{Streams: s, pictureFlags: &pictureFlags{}, tableFlags: &tableFlags{}}
	cmd := &cobra.Command{Use: "check", SilenceErrors: true, SilenceUsage: true, RunE: func(_ *cobra.Command, args []string) error {
		o.Words = args
		return o.run()
	}}
	o.pictureFlags.add(cmd, cmd.Flags())
	o.tableFlags.add(cmd)
	o.add(cmd, cmd.Flags())
	return o, cmd
}

// scoped runs it as a command line would.
func scoped(t *testing.T, args ...string) (string, error) {
	t.Helper()
	var b bytes.Buffer
	_, cmd := scopeCommand(&Streams{Out: &b, Err: &b})
	cmd.SetArgs(args)
	err := cmd.Execute()
	return b.String(), err
}

// scopedAt80 is the text on a terminal of 80 columns.
func scopedAt80(t *testing.T, args ...string) (string, error) {
	t.Helper()
	var b bytes.Buffer
	o, cmd := scopeCommand(&Streams{Out: io.Discard, Err: io.Discard})
	cmd.RunE = func(_ *cobra.Command, args []string) error {
		o.Words = args
		r, raster, err := o.measure()
		if err != nil {
			return err
		}
		d := scopeReport{r, raster, "scope.csv", strings.Join(o.Words, " ")}
		require.NoError(t, d.document(o.tableFlags).Write(&b, table.Text, 80))
		if !r.Fit() {
			return errOut{}
		}
		return nil
	}
	cmd.SetArgs(args)
	err := cmd.Execute()
	return b.String(), err
}

type scopeJSON struct {
	Schema, Verdict, Setup, Wire string
	Fit                          bool
	Scale                        float64
	Gain                         *float64 `json:"chroma_gain"`
	Readings                     []struct {
		Reading, Unit, Source string
		Verdict               *string
		Wanted, Found         float64
	}
	Patches []struct {
		Patch string
		Luma  *float64 `json:"level_found_ire"`
		MV    *float64 `json:"level_found_mv"`
		PP    *float64 `json:"chroma_p_p_found_ire"`
		Deg   *float64 `json:"angle_found_deg"`
	}
	Rows []struct {
		Lines string `json:"lines_of_the_frame"`
		Sure  string
	}
	Notes []string
}

func scopedJSON(t *testing.T, args ...string) (d scopeJSON, err error) {
	t.Helper()
	out, err := scoped(t, append(args, "--json")...)
	require.NoError(t, json.Unmarshal([]byte(out), &d), "%s %v", out, err)
	require.Equal(t, "backporch/check-scope/1", d.Schema)
	return d, err
}

// The bars of SMPTE 170M-2004 Annex A table A.3 come out of a file as printed,
// in IRE, with a verdict; the setup is found where nothing was said of the wire.
func TestCheckScope(t *testing.T) {
	file := scopeFile(t, "bars-full set=75/0/75/0", "480i", "composite-m", 100, 2, 1)
	d, err := scopedJSON(t, "bars-full", "set=75/0/75/0", "--scope", file)
	require.NoError(t, err)
	assert.True(t, d.Fit)
	assert.Equal(t, "within tolerance", d.Verdict)
	assert.Equal(t, "composite-m", d.Wire)
	assert.Equal(t, "7.5 IRE, by the black patch", d.Setup)
	for i, row := range testtable.Table(t, "smpte170m_75_bars.csv") {
		assert.InDelta(t, row.Float(t, "luma_IRE"), *d.Patches[i].Luma, 0.2, d.Patches[i].Patch)
		assert.InDelta(t, row.Float(t, "chroma_pp_IRE"), *d.Patches[i].PP, 0.4, d.Patches[i].Patch)
		if row.Text(t, "phase_deg") != "" {
			assert.InDelta(t, row.Float(t, "phase_deg"), *d.Patches[i].Deg, 0.3, d.Patches[i].Patch)
		}
	}
	assert.Equal(t, "certain", d.Rows[0].Sure)

	file = scopeFile(t, "bars-full set=75/0/75/0", "480i", "composite-j", 100, 2, 1)
	d, err = scopedJSON(t, "bars-full", "set=75/0/75/0", "--scope", file)
	require.NoError(t, err)
	assert.Equal(t, "composite-j", d.Wire)
	assert.Equal(t, "0 IRE, by the black patch", d.Setup)

	// Asked for, the other setup is out, and the exit code is that of errOut.
	d, err = scopedJSON(t, "bars-full", "set=75/0/75/0", "--setup", "7.5", "--scope", file)
	require.ErrorIs(t, err, errOut{})
	assert.Contains(t, d.Verdict, "black low")
	assert.Equal(t, "0 IRE, by the black patch", d.Setup)
}

// A termination that is missing is named, and one that is meant to be is not.
func TestCheckScopeTermination(t *testing.T) {
	file := scopeFile(t, "bars-eg1", "480i", "composite-m", 240, 2, 2)
	d, err := scopedJSON(t, "bars-eg1", "--scope", file)
	require.ErrorIs(t, err, errOut{})
	assert.Equal(t, "not terminated; within tolerance", d.Verdict)
	assert.InDelta(t, 2, d.Scale, 1e-9)
	assert.Contains(t, d.Notes[0], "Not terminated: All levels are twice as high")
	d, err = scopedJSON(t, "bars-eg1", "--scope", file, "--termination", "none")
	require.NoError(t, err)
	assert.Equal(t, "within tolerance", d.Verdict)
	d, err = scopedJSON(t, "bars-eg1", "--scope", scopeFile(t, "bars-eg1", "480i", "composite-m", 240, 1, 0.1), "--probe", "10", "--line", "240")
	require.NoError(t, err)
	assert.Equal(t, "within tolerance", d.Verdict)
}

// Another picture leaves sync and burst, which are judged; nothing is said of
// patches.
func TestCheckScopeOtherPicture(t *testing.T) {
	d, err := scopedJSON(t, "crosshatch", "--scope", scopeFile(t, "bars-eg1", "480i", "composite-m", 100, 1, 1))
	require.ErrorIs(t, err, errOut{})
	assert.Equal(t, "other picture; what does not depend on the picture is within tolerance", d.Verdict)
	assert.Empty(t, d.Patches)
	assert.NotEmpty(t, d.Readings)
}

// The other cables, one signal at a time.
func TestCheckScopeCables(t *testing.T) {
	for _, tt := range []struct {
		raster, wire, pattern string
		args                  []string
		patch                 int
		mv                    float64 // component_levels.csv, yellow; red of RGB 700 at 75 %
	}{
		{"480i", "component-betacam", "bars-full set=75/0/75/0", []string{"--channel", "Y"}, 1, 492.62},
		{"480i", "component-n10", "bars-full set=75/0/75/0", []string{"--channel", "PB", "--signal", "PB", "--sync-channel", "Y"}, 1, -262.50},
		{"576i", "rgb-700", "bars-full set=75/0/75/0", []string{"--channel", "G"}, 0, 525},
		{"576i", "rgb-700", "bars-full set=75/0/75/0", []string{"--channel", "R", "--signal", "R", "--sync-channel", "G"}, 2, 0},
		{"576i", "yc-pal", "bars-full set=75/0/75/0", []string{"--channel", "Y"}, 1, 465.15},
	} {
		file := scopeFile(t, tt.pattern, tt.raster, tt.wire, 100, 2, 1)
		args := append(strings.Fields(tt.pattern), "--raster", tt.raster, "--wire", tt.wire, "--scope", file)
		d, err := scopedJSON(t, append(args, tt.args...)...)
		require.NoError(t, err, "%+v %v", tt, d.Verdict)
		assert.InDelta(t, tt.mv, *d.Patches[tt.patch].MV, 1.5, "%+v", tt)
		assert.Nil(t, d.Patches[tt.patch].Luma)
	}
}

// What people read fits 80 columns and has the verdict on top; the CSV is the
// patches.
func TestCheckScopeText(t *testing.T) {
	for _, tt := range []struct{ raster, wire, channel string }{
		{"480i", "composite-m", "CVBS"}, {"576i", "pal", "CVBS"}, {"480i", "component-betacam", "Y"}, {"480i", "yc-m", "C"},
	} {
		file := scopeFile(t, "bars-full set=75/0/75/0", tt.raster, tt.wire, 100, 2, 1.06)
		args := []string{"bars-full", "set=75/0/75/0", "--raster", tt.raster, "--wire", tt.wire, "--scope", file, "--channel", tt.channel}
		if tt.channel == "C" {
			args = append(args, "--signal", "C", "--sync-channel", "Y")
		}
		text, err := scopedAt80(t, args...)
		require.ErrorIs(t, err, errOut{})
		for _, line := range strings.Split(text, "\n") {
			assert.LessOrEqual(t, utf8.RuneCountInString(line), 80, line)
		}
		assert.NotContains(t, text, " -0.0")
		assert.Contains(t, text, "out of tolerance: ")
		assert.Contains(t, text, "Sync, burst and line")
		csv, err := scoped(t, append(args, "--csv")...)
		require.ErrorIs(t, err, errOut{})
		assert.True(t, strings.HasPrefix(csv, "Patch,Lines,Level wanted (mV),"), csv)
		assert.Equal(t, 9, strings.Count(csv, "\n"))
	}
}

// A wrong command line, and a file that is none.
func TestCheckScopeErrors(t *testing.T) {
	file := scopeFile(t, "flat", "480i", "composite-m", 100, 1, 1)
	other := filepath.Join(t.TempDir(), "notes.csv")
	require.NoError(t, os.WriteFile(other, []byte("Bench A,Bench B\nsync,fine\n"), 0o644))
	for _, tt := range []struct {
		args  []string
		usage bool
		want  string
	}{
		{[]string{"--scope", file}, true, "--scope needs the name of the pattern that plays, such as bars-full"},
		{[]string{"bars-ful", "--scope", file}, true, "bars-full"},
		{[]string{"bars-full", "--scope", "nowhere.csv"}, false, "the file nowhere.csv does not exist"},
		{[]string{"bars-full", "--scope", other}, false, "notes.csv: there are no rows of numbers"},
		{[]string{"bars-full", "--scope", file, "--line", "-1"}, true, "lines count from 1"},
		{[]string{"bars-full", "--scope", file, "--line", "600"}, false, "525i has lines 1 to 525"},
		{[]string{"bars-full", "--scope", file, "--probe", "ten"}, true, `--probe: "ten" is not a number from 0.001 to 1000, such as 10`},
		{[]string{"bars-full", "--scope", file, "--sample-interval", "1"}, true, "such as 4e-9"},
		{[]string{"bars-full", "--scope", file, "--scope-unit", "A"}, true, `"A" is neither V nor mV`},
		{[]string{"bars-full", "--scope", file, "--termination", "50"}, true, `unknown termination "50"; use 75, none, double`},
		{[]string{"bars-full", "--scope", file, "--signal", "Y"}, true, `composite-m has no "Y"; it has CVBS`},
		{[]string{"bars-full", "--scope", file, "--channel", "B"}, false, `the file has no column "B"; it has CVBS`},
		{[]string{"bars-full", "--scope", file, "--raster", "576i"}, false, "525/60"},
		{[]string{"bars-full", "--scope", file, "--json", "--csv"}, true, "--json and --csv"},
	} {
		_, err := scoped(t, tt.args...)
		require.ErrorContains(t, err, tt.want)
		var usage *usageError
		assert.Equal(t, tt.usage, errors.As(err, &usage), "%v", tt.args)
	}
}

// A device is measured against the colors that it really has: what it sends is
// within tolerance of these.
func TestCheckScopeDevice(t *testing.T) {
	tried := 0
	for _, e := range device.Builtin() {
		if !e.Pixels() || testing.Short() && tried > 0 {
			continue
		}
		tried++
		p := pictureFlags{Device: e.Name, Setup: "as-player", Aspect: "4:3"}
		pt, err := pattern.Parse("bars-full")
		require.NoError(t, err)
		_, w, err := p.layoutOnWire(pt, "bars-full")
		require.NoError(t, err)
		if !w.Subcarrier() {
			continue
		}
		file := scopeFileOf(t, p, "bars-full", 100, 2, 1)
		d, err := scopedJSON(t, "bars-full", "--device", e.Name, "--scope", file, "--channel", "1")
		require.NoError(t, err, "%s: %s", e.Name, d.Verdict)
		assert.Equal(t, "within tolerance", d.Verdict, e.Name)
		assert.NotEmpty(t, d.Patches, e.Name)
	}
	assert.Positive(t, tried)
}
