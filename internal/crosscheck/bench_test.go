package crosscheck

import (
	"bytes"
	"flag"
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"backporch/internal/cli"
	"backporch/internal/goldentest"
	"backporch/internal/job"
	"backporch/internal/oracle"
	"backporch/internal/testtable"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// benchStart is when the first job of the example begins.
func benchStart() time.Time { return time.Date(2026, time.March, 10, 8, 0, 0, 0, time.UTC) }

// TestGoldenBench plays the worked example on the command line, from an empty
// folder to the sheets, and compares all of it with what is kept. The sets are
// models, so it proves nothing about sets; it proves that the whole job can be
// done by the commands alone, that their order ends, and that the same readings
// give the same pages.
func TestGoldenBench(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	a := playBench(t, dir, benchA(), benchStart())
	b := playBench(t, dir, benchB(), benchStart().AddDate(0, 0, 2))

	for _, s := range []*benchJob{a, b} {
		assert.True(t, s.stopped, "%s: white balance ended, and not by the advice", s.name)
		assert.LessOrEqual(t, s.rounds, 12, "%s: rounds of white balance", s.name)
		for _, what := range []string{"purity", "convergence", "geometry", "focus", "gray", "chroma"} {
			assert.True(t, s.out["before "+what], "%s: %s is within tolerance before the work", s.name, what)
		}
		for _, what := range job.Whats() {
			out := s.name == "bench-b" && what == job.WhatConvergence
			assert.Equal(t, out, s.out["after "+string(what)], "%s: %s out of tolerance after the work", s.name, what)
		}
	}

	for _, p := range []struct {
		name string
		args []string
	}{
		{"bench-a-sheet.html", []string{"job", "sheet", "bench-a"}}, {"worksheet.html", []string{"job", "sheet", "bench-b", "--worksheet"}},
		{"compare-a-b.html", []string{"job", "compare", "bench-a", "bench-b"}},
	} {
		code, page, errs := b.command(append(p.args, "-o", "-")...)
		require.Zero(t, code, "%s: %s", p.name, errs)
		goldentest.Bytes(t, "bench/"+p.name, plainVersion(t, []byte(page)))
	}
	for _, name := range benchFiles() {
		file, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		goldentest.Bytes(t, "bench/"+name, plainVersion(t, file))
	}
	if flag.Lookup("update").Value.String() == "true" {
		drawBench(t)
	}
}

// benchFiles are the jobs of the example.
func benchFiles() []string { return []string{"bench-a.json", "bench-b.json"} }

// benchFolder is where the example is kept.
func benchFolder(t *testing.T) string { return filepath.Join(testtable.Root(t), "golden", "bench") }

// benchPictures are the pages of the sheet that are kept as pictures, for people
// who read about it: page, by file.
func benchPictures() map[string]int {
	return map[string]int{"sheet-page1.png": 1, "sheet-page2.png": 2}
}

// benchDPI is fine enough to read the pictures, and small.
const benchDPI = 80

// drawBench makes the pictures anew. Browsers draw letters each in its own way,
// so they are not compared.
func drawBench(t *testing.T) {
	t.Helper()
	dir := benchFolder(t)
	page, err := os.ReadFile(filepath.Join(dir, "bench-a-sheet.html"))
	require.NoError(t, err)
	p := oracle.PrintPage(t, page, oracle.Papers()[0])
	for name, n := range benchPictures() {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), p.PNG(t, n, benchDPI), 0o644))
	}
}

// TestBenchKept: whoever copies the kept example gets jobs that the program
// reads without a complaint, in which every step is done and every reading is
// marked as invented.
func TestBenchKept(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	for _, name := range benchFiles() {
		file, err := os.ReadFile(filepath.Join(benchFolder(t), name))
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), file, 0o644))
	}
	for _, args := range [][]string{
		{"job", "list"}, {"job", "show", "bench-a"}, {"job", "show", "bench-b", "--entries"}, {"job", "next", "bench-a"},
		{"job", "sheet", "bench-b", "-o", "-"}, {"job", "compare", "bench-a:before", "bench-a:after"},
	} {
		var out, errs bytes.Buffer
		code := cli.Run(t.Context(), &cli.Streams{Out: &out, Err: &errs}, append(args, "--bench", dir))
		assert.Zero(t, code, "%q", args)
		assert.Empty(t, errs.String(), "%q", args)
		assert.NotEmpty(t, out.String(), "%q", args)
	}

	outcomes := map[string]map[job.Outcome]int{}
	for _, name := range []string{"bench-a", "bench-b"} {
		j, err := (&job.Bench{Dir: dir}).Open(name)
		require.NoError(t, err)
		plan, err := j.Plan(nil)
		require.NoError(t, err)
		outcomes[name] = map[job.Outcome]int{}
		for _, s := range plan.States(j.Entries) {
			assert.Equal(t, job.Finished, s.Status, "%s: %s: %s", name, s.Key, s.Why)
			outcomes[name][s.Done.Done.Outcome]++
		}
		kinds := map[string]bool{}
		corrected, again, last := 0, 0, time.Time{}
		for _, e := range j.Entries {
			assert.False(t, e.Time.Before(last), "%s: entry %d is earlier than the one before", name, e.ID)
			last = e.Time
			if e.Kind == job.KindMeasure {
				assert.True(t, e.Measure.Invented, "%s: entry %d is not marked as invented", name, e.ID)
				kinds[string(e.Measure.Stage)+" "+string(e.Measure.What)] = true
			}
			if e.Corrects > 0 {
				corrected++
			}
			if e.Done != nil && e.Done.Again {
				again++
			}
		}
		for _, what := range job.Whats() {
			for _, stage := range []job.Stage{job.Before, job.After} {
				if what == job.WhatSource {
					stage = ""
				}
				assert.True(t, kinds[fmt.Sprintf("%s %s", stage, what)], "%s: no readings of %s %s", name, what, stage)
			}
		}
		assert.Positive(t, corrected, "%s: nothing is corrected", name)
		if name == "bench-a" {
			assert.Positive(t, again, "%s: no loop is gone through again", name)
		}
	}
	assert.Len(t, outcomes["bench-a"], 1, "Bench A comes out well: %v", outcomes)
	assert.Equal(t, map[job.Outcome]int{job.OutcomeOK: 24, job.OutcomeOut: 1, job.OutcomeCannot: 1, job.OutcomeSkip: 1}, outcomes["bench-b"])
}

// TestBenchSize: the example stays small, and its pictures are those of a page.
func TestBenchSize(t *testing.T) {
	t.Parallel()
	files, err := os.ReadDir(benchFolder(t))
	require.NoError(t, err)
	sum := int64(0)
	for _, f := range files {
		if strings.HasSuffix(f.Name(), ".got") { // of a test that failed
			continue
		}
		info, err := f.Info()
		require.NoError(t, err)
		sum += info.Size()
	}
	assert.Less(t, sum, int64(500_000), "bytes in golden/bench")
	for name := range benchPictures() {
		file, err := os.ReadFile(filepath.Join(benchFolder(t), name))
		require.NoError(t, err)
		assert.Less(t, len(file), 120_000, name)
		m, err := png.DecodeConfig(bytes.NewReader(file))
		require.NoError(t, err, name)
		paper := oracle.Papers()[0]
		assert.InDelta(t, paper.Width/25.4*benchDPI, m.Width, 2, "%s: width", name)
		assert.InDelta(t, paper.Height/25.4*benchDPI, m.Height, 2, "%s: height", name)
	}
}

// plainVersion takes the revision that a build may know out of a file: it is
// another one with every commit.
func plainVersion(t *testing.T, file []byte) []byte {
	t.Helper()
	var out bytes.Buffer
	require.Zero(t, cli.Run(t.Context(), &cli.Streams{Out: &out, Err: &out}, []string{"version"}))
	return bytes.ReplaceAll(file, bytes.TrimSpace(out.Bytes()), []byte("backporch "+cli.Version))
}
