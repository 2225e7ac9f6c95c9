package cli

import (
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

// A job whose file has gone is told with the copy that is left, whether it is
// named or the only one.
func TestGoodCopyAlone(t *testing.T) {
	dir := newBench(t, "bench-a", "--tube", "slot-mask")
	t.Setenv(jobVariable, "")
	code, _, errs := run(t, "job", "note", "first")
	require.Equal(t, exitDone, code, errs)
	require.NoError(t, os.Remove(filepath.Join(dir, "bench-a.json")))
	for _, line := range []string{"job show", "job next", "job note second", "job show bench-a", "white --job bench-a", "job list"} {
		code, _, errs := run(t, strings.Fields(line)...)
		assert.Equal(t, exitFailed, code, line)
		assert.Contains(t, errs, "its last good copy has 2 entries", line)
		assert.Contains(t, errs, "bring it back: ", line)
	}
}

// The only job is meant, whatever else lies in the folder; a folder that cannot
// be told is not an empty one.
func TestOnlyJob(t *testing.T) {
	dir := newBench(t, "bench-a", "--tube", "slot-mask")
	t.Setenv(jobVariable, "")
	for name, text := range map[string]string{
		"check.json": `{"schema":"backporch/check/1"}`, "no job.json": "{}", "notes.txt": "", ".hidden.json": "{}",
	} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600))
	}
	code, out, errs := run(t, "job", "show")
	assert.Equal(t, exitUsage, code, "no job.json may be a job that somebody gave a wrong name")
	assert.Empty(t, out)
	assert.Contains(t, errs, "has bench-a, check; name one")
	require.NoError(t, os.Remove(filepath.Join(dir, "no job.json")))
	code, out, errs = run(t, "job", "show")
	assert.Equal(t, exitDone, code, errs)
	assert.Contains(t, out, "bench-a.json")
}

func TestWrongCorrects(t *testing.T) {
	newBench(t, "bench-a", "--tube", "slot-mask")
	for _, line := range []string{
		"job note x --corrects 9", "job note x --corrects 0", "job note x --corrects 1", "job note x --corrects -2",
		"job done proof --corrects 9", "job limit black --max 1 --corrects 1",
		"job measure focus --read center:5 --corrects 9", "job measure focus --read center:5 --corrects 1",
	} {
		code, out, errs := run(t, strings.Fields(line)...)
		assert.Equal(t, exitUsage, code, line)
		assert.Empty(t, out, line)
		assert.Contains(t, errs, "--corrects: ", line)
	}
	_, out, _ := run(t, "job", "show", "--entries", "--csv")
	assert.Len(t, strings.Split(strings.TrimSpace(out), "\n"), 2, "the head and the set: nothing was recorded")
}

// What a newer program wrote is kept, and said.
func TestUnknownIsTold(t *testing.T) {
	dir := newBench(t, "bench-a", "--tube", "slot-mask")
	path := filepath.Join(dir, "bench-a.json")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	more := strings.Replace(string(text), `"label"`, `"serial": 7, "label"`, 1)
	require.NotEqual(t, string(text), more)
	require.NoError(t, os.WriteFile(path, []byte(more), 0o600))
	code, out, errs := run(t, "job", "show")
	require.Equal(t, exitDone, code, errs)
	assert.Contains(t, out, `Entry 1 has a key that this program does not know, "set.serial"; it is kept.`)
}

// A second word is the readings, given without their flag.
func TestMeasureWordTooMany(t *testing.T) {
	newBench(t, "bench-a", "--tube", "slot-mask")
	for _, tt := range []struct{ what, word, way string }{
		{"gray", "gray.csv", "job measure gray --from gray.csv"},
		{"gray", "my steps.csv", "job measure gray --from 'my steps.csv'"},
		{"focus", "center:5", "job measure focus --read center:5"},
		{"source", "check.json", "job measure source --check check.json"},
	} {
		code, _, errs := run(t, "job", "measure", tt.what, tt.word)
		assert.Equal(t, exitUsage, code, tt.word)
		assert.Contains(t, errs, "is one word too many; ", tt.word)
		assert.Contains(t, errs, tt.way+"\n", tt.word)
	}
}

func TestCompleteInput(t *testing.T) {
	newBench(t, "bench-a", "--tube", "slot-mask", "--inputs", "video-1=composite,rgb")
	code, out, _ := run(t, "__complete", "job", "measure", "chroma", "--input", "")
	require.Equal(t, exitDone, code)
	assert.True(t, strings.HasPrefix(out, "video-1\nrgb\n"), out)
}

// Programs read times as RFC 3339 has them, whichever command prints them.
func TestTimesForPrograms(t *testing.T) {
	newBench(t, "bench-a", "--tube", "slot-mask")
	for _, line := range []string{
		"job note x", "job done proof", "job set --guns in-line --remarks x", "job limit black --max 1", "job measure focus --read center:5",
	} {
		code, out, errs := run(t, append(strings.Fields(line), "--json")...)
		require.Equal(t, exitDone, code, "%s: %s", line, errs)
		var got struct {
			Time string `json:"time_utc"`
		}
		require.NoError(t, json.Unmarshal([]byte(out), &got), line)
		_, err := time.Parse(time.RFC3339, got.Time)
		assert.NoError(t, err, line)
	}
}

// A comparison in text ends with the cautions, as everything does that may lead
// a hand to a control; for programs they are not in the way.
func TestCompareCautions(t *testing.T) {
	newBench(t, "bench-a", "--tube", "slot-mask")
	for _, line := range []string{"job measure focus --read center:5", "job new bench-b --tube slot-mask", "job measure focus --read center:3 --job bench-b"} {
		code, _, errs := run(t, strings.Fields(line)...)
		require.Contains(t, []int{exitDone, exitOut}, code, errs)
	}
	_, out, _ := run(t, "job", "compare", "bench-a", "bench-b")
	assert.Contains(t, out, "lethal voltages")
	_, out, _ = run(t, "job", "compare", "bench-a", "bench-b", "--csv")
	assert.NotContains(t, out, "lethal voltages")
}

// A terminal is 80 columns wide.
func TestPromptsFitATerminal(t *testing.T) {
	for _, what := range whatNames() {
		k := kindOf(job.What(what))
		if k == nil {
			continue
		}
		title := k.Title
		if k.Light {
			for _, form := range formNames() {
				l := &lightFlags{Form: form}
				for _, line := range strings.Split(title+" "+l.formWords(), "\n") {
					assert.Less(t, len(line), 80, line)
				}
			}
		}
		for _, line := range strings.Split(title+"\n"+promptHelp, "\n") {
			assert.LessOrEqual(t, len(line), 80, line)
		}
	}
}

// A step of the user's own that names no caution has the general one, wherever
// it is shown.
func TestOwnStepHasACaution(t *testing.T) {
	newBench(t, "bench-a", "--tube", "slot-mask")
	file := filepath.Join(t.TempDir(), "fan.toml")
	require.NoError(t, os.WriteFile(file, []byte("[[step]]\nkey = \"fan\"\ntitle = \"Fan\"\ndo = \"Listen.\"\n"), 0o600))
	code, _, errs := run(t, "job", "step", file)
	require.Equal(t, exitDone, code, errs)
	for _, form := range [][]string{nil, {"--json"}} {
		code, out, errs := run(t, append([]string{"job", "next", "--step", "fan"}, form...)...)
		require.Equal(t, exitDone, code, errs)
		assert.Contains(t, out, "lethal voltages")
	}
}

func TestSheetRefusesFirst(t *testing.T) {
	newBench(t, "bench-a", "--tube", "slot-mask")
	path := filepath.Join(t.TempDir(), "sheet.html")
	require.NoError(t, os.WriteFile(path, []byte("kept"), 0o600))
	for _, line := range []string{"--due 0", "--due soon", "--due 121", "--due 2001-01-01", "--worksheet --due 6"} {
		code, _, errs := run(t, append(strings.Fields("job sheet -o "+path), strings.Fields(line)...)...)
		assert.Equal(t, exitUsage, code, line)
		assert.Contains(t, errs, "--due", line)
	}
	assert.Equal(t, "kept", string(contents(t, path)))
}

// Rails are negative, and so are first characters of notes.
func TestNoteWithADash(t *testing.T) {
	newBench(t, "bench-a", "--tube", "slot-mask")
	code, _, errs := run(t, "job", "note", "-5 V is low")
	assert.Equal(t, exitUsage, code)
	assert.Contains(t, errs, "stands behind all flags and --")
	code, out, errs := run(t, "job", "note", "--", "-5 V is low")
	assert.Equal(t, exitDone, code, errs)
	assert.Contains(t, out, "note: -5 V is low")
}

// A note may have several lines: each is kept, and shown as it is.
func TestNoteOfTwoLines(t *testing.T) {
	dir := newBench(t, "bench-a", "--tube", "slot-mask")
	const note = "first line\nsecond line"
	code, out, errs := run(t, "job", "note", note)
	require.Equal(t, exitDone, code, errs)
	assert.Contains(t, out, "note: first line\n          second line\n")
	assert.Contains(t, string(contents(t, filepath.Join(dir, "bench-a.json"))), `"first line\nsecond line"`)
	code, out, errs = run(t, "job", "show", "--json")
	require.Equal(t, exitDone, code, errs)
	assert.Contains(t, out, `"first line\nsecond line"`)
	_, out, _ = run(t, "job", "show", "--entries", "--csv")
	assert.Contains(t, out, "\"first line\nsecond line\"")
}

func TestJobOfTheVariable(t *testing.T) {
	newBench(t, "bench-a", "--tube", "slot-mask")
	t.Setenv(jobVariable, "bench-b")
	code, _, errs := run(t, "job", "show")
	assert.Equal(t, exitUsage, code)
	assert.Contains(t, errs, jobVariable+" names that job")
	_, _, errs = run(t, "job", "show", "--job", "bench-c")
	assert.NotContains(t, errs, jobVariable)
}

// Another device brings its raster where it cannot show that of the set, and
// takes it away again; phosphors that were taken by the lines are told.
func TestSetAnotherDevice(t *testing.T) {
	newBench(t, "bench-a", "--tube", "slot-mask")
	for _, tt := range []struct{ line, raster, note string }{
		{"--device pixel-320", "pixel-320", ""},
		{"--device none", "240p", ""},
		{"--raster 576i", "576i", "Primaries stay smpte-c"},
		{"--primaries ebu", "576i", ""},
		{"--raster 480i", "480i", "Primaries stay ebu"},
		{"--raster 576i --primaries p22", "576i", ""},
	} {
		code, out, errs := run(t, append([]string{"job", "set"}, strings.Fields(tt.line)...)...)
		require.Equal(t, exitDone, code, "%s: %s", tt.line, errs)
		if tt.note == "" {
			assert.NotContains(t, out, "Primaries stay", tt.line)
		}
		assert.Contains(t, out, tt.note, tt.line)
		_, out, _ = run(t, "job", "show", "--json")
		assert.Contains(t, out, `"raster":"`+tt.raster+`"`, tt.line)
	}
}

func TestSetKeepsSetup(t *testing.T) {
	newBench(t, "bench-a", "--tube", "slot-mask", "--setup", "7.5")
	for _, line := range []string{"--raster 576i", "--inputs rgb"} {
		code, _, errs := run(t, append([]string{"job", "set"}, strings.Fields(line)...)...)
		assert.Equal(t, exitUsage, code, line)
		assert.Contains(t, errs, "say --setup as-player, too", line)
		code, _, errs = run(t, append([]string{"job", "set", "--setup", "7.5"}, strings.Fields(line)...)...)
		assert.Equal(t, exitUsage, code, line)
		assert.NotContains(t, errs, "as-player, too", "it was said here")
	}
	code, _, errs := run(t, "job", "set", "--raster", "576i", "--setup", "as-player")
	assert.Equal(t, exitDone, code, errs)
}

// EBU Tech 3320 v3 clause 5.1 has 200 cd/m2 for grade 2.
func TestBrightWhiteIsCautioned(t *testing.T) {
	noJobVariables(t)
	for lum, want := range map[string]bool{"0": false, "200": false, "210": true} {
		code, out, errs := run(t, "job", "new", "bench-"+lum, "--tube", "slot-mask", "--luminance", lum)
		require.Equal(t, exitDone, code, errs)
		assert.Equal(t, want, strings.Contains(out, "CAUTION: white of 210 cd/m2 is more than the 200 of grade-2"), lum)
	}
	code, out, errs := run(t, "job", "set", "--job", "bench-0", "--luminance", "400")
	require.Equal(t, exitDone, code, errs)
	assert.Contains(t, strings.Join(strings.Fields(out), " "), "CAUTION: white of 400 cd/m2 is more than the 200 of grade-2")
}

// A word of the command line that is wrong is not the table's fault.
func TestColumnsOfNoQuantity(t *testing.T) {
	newBench(t, "bench-a", "--tube", "slot-mask")
	path := filepath.Join(t.TempDir(), "steps.csv")
	require.NoError(t, os.WriteFile(path, []byte("A,x,y,Y\n20,.31,.33,2\n80,.31,.33,60\n"), 0o600))
	for _, line := range []string{"job measure gray --columns levl=A --from", "white --columns levl=A --from"} {
		code, _, errs := run(t, append(strings.Fields(line), path)...)
		assert.Equal(t, exitUsage, code, line)
		assert.Contains(t, errs, `--columns: "levl" is no quantity (did you mean level?)`, line)
	}
}
