package crosscheck

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"backporch/internal/cli"
	"backporch/internal/goldentest"
	"backporch/internal/job"

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
		assert.LessOrEqual(t, s.rounds, 8, "%s: rounds of white balance", s.name)
		for _, what := range []string{"purity", "convergence", "geometry", "focus", "gray", "chroma"} {
			assert.True(t, s.out["before "+what], "%s: %s is within tolerance before the work", s.name, what)
		}
		for _, what := range job.Whats() {
			out := s.name == "bench-b" && what == job.WhatConvergence
			assert.Equal(t, out, s.out["after "+string(what)], "%s: %s out of tolerance after the work", s.name, what)
		}
	}

	pages := map[string][]string{
		"bench-a-sheet.html": {"job", "sheet", "bench-a"},
		"worksheet.html": {"job", "sheet", "bench-b", "--worksheet"}, "compare-a-b.html": {"job", "compare", "bench-a", "bench-b"},
	}
	for name, args := range pages {
		code, page, errs := b.command(append(args, "-o", "-")...)
		require.Zero(t, code, "%s: %s", name, errs)
		goldentest.Bytes(t, "bench/"+name, plainVersion(t, []byte(page)))
	}
	for _, name := range []string{"bench-a.json", "bench-b.json"} {
		file, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		goldentest.Bytes(t, "bench/"+name, plainVersion(t, file))
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
