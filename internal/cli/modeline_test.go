package cli

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/modeline"
	"backporch/internal/oracle"
	"backporch/timing"
)

func TestModelineFlags(t *testing.T) {
	for _, tt := range []struct {
		name string
		args []string
		want func(t *testing.T, o *modelineOptions, j modelineJob)
	}{
		{"defaults", []string{"480i"}, func(t *testing.T, o *modelineOptions, j modelineJob) {
			assert.Equal(t, modelineOptions{Streams: o.Streams, Raster: "480i", Timing: "cea", Input: "analog", Setup: "0", Size: "400x300"}, *o)
			assert.Equal(t, "720x480i", j.Mode.Name())
			assert.Equal(t, "VGA-1", j.Connector)
			assert.Equal(t, []string{"720x480i", "720x240p"}, modeNames(j.Display))
			assert.Equal(t, "CRT 480i", j.Display.Name)
		}},
		{"a digital link is wider", []string{"576i", "--input", "digital"}, func(t *testing.T, _ *modelineOptions, j modelineJob) {
			assert.Equal(t, "1440x576i", j.Mode.Name())
			assert.Equal(t, "HDMI-A-1", j.Connector)
		}},
		{"all", []string{"240P", "--width", "1280", "--timing", "bt601", "--connector", "DVI-I-1", "--edid", "a.bin", "--also", "486i", "--setup", "7.5", "--size", "20in", "--name", "Bench A", "--force"},
			func(t *testing.T, o *modelineOptions, j modelineJob) {
				assert.True(t, o.sized && o.Force)
				assert.Equal(t, "a.bin", o.EDID)
				assert.Equal(t, modeline.BT601, j.Mode.Placing)
				d := j.Display
				assert.Equal(t, []string{"1280x240p", "1280x486i"}, modeNames(d))
				assert.Equal(t, modeline.BT601, d.Modes[1].Placing)
				assert.True(t, d.Setup)
				assert.Equal(t, [2]int{406, 305}, [2]int{d.Width, d.Height})
				assert.Equal(t, "Bench A", d.Name)
				assert.Equal(t, "DVI-I-1", j.Connector)
			}},
		{"one mode, a long name", []string{"240p-227.33", "--edid", "a.bin", "--also", "none"}, func(t *testing.T, _ *modelineOptions, j modelineJob) {
			assert.Len(t, j.Display.Modes, 1)
			assert.Equal(t, "240p-227.33", j.Display.Name)
		}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			called := false
			cmd := newModeline(&Streams{}, func(_ context.Context, o *modelineOptions) error {
				called = true
				j, err := o.plan()
				require.NoError(t, err)
				tt.want(t, o, j)
				return nil
			})
			cmd.SetArgs(tt.args)
			require.NoError(t, cmd.Execute())
			assert.True(t, called, "the command did not run")
		})
	}
}

// Every raster has all three forms, on both links; text has the lines to copy
// unbroken and the cautions.
func TestModelineForms(t *testing.T) {
	for _, r := range timing.Rasters() {
		for _, input := range modeline.InputNames() {
			code, out, errs := run(t, "modeline", r.Name, "--input", input, "--width", "2880", "--timing", "bt601")
			require.Equal(t, exitDone, code, errs)
			assert.Empty(t, errs)
			m, err := modeline.New(r, 2880, modeline.BT601)
			require.NoError(t, err)
			assert.Contains(t, out, "\n  "+m.Line()+"\n")
			assert.Contains(t, strings.ReplaceAll(out, "\n", " "), modeCaution)
			assert.Contains(t, out, "lethal voltages")

			code, out, errs = run(t, "modeline", r.Name, "--input", input, "--json")
			require.Equal(t, exitDone, code, errs)
			var v struct {
				Schema, Modeline string
				XRandR           []string
				Times            []map[string]any
				Composite        []map[string]any
			}
			require.NoError(t, json.Unmarshal([]byte(out), &v))
			assert.Equal(t, "backporch/modeline/1", v.Schema)
			assert.NotEmpty(t, v.Modeline)
			assert.Len(t, v.XRandR, 3)
			assert.NotEmpty(t, v.Composite)

			code, out, errs = run(t, "modeline", r.Name, "--input", input, "--csv")
			require.Equal(t, exitDone, code, errs)
			assert.True(t, strings.HasPrefix(out, "Part,Active,Front porch,Sync,Back porch,Total\n"), out)
		}
	}
}

// The file is an EDID, and what to do with it names it as a shell takes it.
func TestModelineFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "bench a,1")
	code, out, errs := run(t, "modeline", "480i", "--edid", path, "--name", "Bench A", "--setup", "7.5")
	require.Equal(t, exitDone, code, errs)
	assert.Contains(t, out, "cp '"+path+"' /lib/firmware/edid/bench-a-1.bin\n")
	assert.Contains(t, out, "drm.edid_firmware=VGA-1:edid/bench-a-1.bin video=VGA-1:e\n")
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Len(t, b, modeline.Size)
	read := oracle.CheckEDID(t, b)
	assert.Empty(t, read.Warnings)
	assert.Contains(t, read.Text, "Blank-to-black setup/pedestal")
}

func TestModelineTerminal(t *testing.T) {
	o := &modelineOptions{Streams: &Streams{OutTerminal: true}, Raster: "480i", Timing: "cea", Input: "analog", EDID: "-", Setup: "0", Size: "400x300"}
	assert.EqualError(t, o.run(context.Background()), "standard output is a terminal; name a file with --edid, or pipe the EDID into a program")
}

func TestCopyCommand(t *testing.T) {
	for path, want := range map[string]string{
		"a.bin":        "cp a.bin /lib/firmware/edid/a.bin",
		"dir/bench":    "cp dir/bench /lib/firmware/edid/bench.bin",
		"it's $HOME.x": `cp 'it'\''s $HOME.x' /lib/firmware/edid/it-s--HOME.x`,
	} {
		assert.Equal(t, want, copyCommand(path))
	}
}
