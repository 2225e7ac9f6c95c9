// Package oracle reads the program's files by other people's code, so that a
// test can compare what was meant with what a stranger finds in them. Only
// tests import it.
//
// A general media converter (with the zimg library for the matrix) reads raw
// frames and YUV4MPEG2, netpbm and pngcheck read PNG. None of them shares
// code or constants with this module; where one of them is known to be wrong,
// the function that uses it says so and goes around it.
package oracle

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"sync"
	"testing"

	"backporch/internal/ffmpeg"
)

// requireTools names the variable that turns a skipped test into a failed
// one: where the tools are meant to be there, nothing may pass by skipping.
const requireTools = "BACKPORCH_REQUIRE_TOOLS"

// Need returns the path of an installed tool, such as "ffmpeg", "pngtopam" or
// "pngcheck". Without it the test is skipped, or fails when
// BACKPORCH_REQUIRE_TOOLS is 1.
func Need(t testing.TB, tool string) string {
	t.Helper()
	path, err := exec.LookPath(tool)
	if err != nil {
		without(t, tool+" is not installed; this test reads the files with it")
	}
	return path
}

// without ends a test that lacks a tool.
func without(t testing.TB, reason string) {
	t.Helper()
	if os.Getenv(requireTools) == "1" {
		t.Fatalf("oracle: %s (%s=1)", reason, requireTools)
	}
	t.Skipf("oracle: %s", reason)
}

// needFFmpeg returns the converter, by the rule of Need.
func needFFmpeg(t testing.TB) *ffmpeg.Tool {
	t.Helper()
	Need(t, "ffmpeg")
	tool, err := installed()
	if err != nil {
		without(t, err.Error())
	}
	return tool
}

// needZscale returns the converter if it was built with the zimg library, by
// the rule of Need.
func needZscale(t testing.TB) *ffmpeg.Tool {
	t.Helper()
	tool := needFFmpeg(t)
	if !hasZscale() {
		without(t, "this ffmpeg is built without the filter zscale (zimg)")
	}
	return tool
}

// installed asks once for the version, and hasZscale for the filter: each
// start of the converter takes a quarter second.
var installed = sync.OnceValues(func() (*ffmpeg.Tool, error) {
	return ffmpeg.Find(context.Background())
})

var hasZscale = sync.OnceValue(func() bool {
	out, err := exec.Command("ffmpeg", "-hide_banner", "-h", "filter=zscale").Output()
	return err == nil && bytes.Contains(out, []byte("Filter zscale"))
})
