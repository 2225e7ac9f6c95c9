package arch

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The tests of this file break each rule on purpose, in a module of a moment:
// a policy test that cannot fail would be worth nothing.

// tree writes files into a new folder and returns it.
func tree(t *testing.T, files map[string]string) string {
	t.Helper()
	root := t.TempDir()
	for name, text := range files {
		p := filepath.Join(root, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(p), 0o755))
		require.NoError(t, os.WriteFile(p, []byte(text), 0o644))
	}
	return root
}

func goFile(pkg string, imports ...string) string {
	s := "package " + pkg + "\n"
	for _, i := range imports {
		s += "import _ \"" + i + "\"\n"
	}
	return s
}

func TestBreaches(t *testing.T) {
	for _, tt := range []struct {
		name, file, text string
		want             string // "" for nothing wrong
	}{
		{"downward", "pattern/a.go", goFile("pattern", "math", "backporch/timing", "backporch/pattern/frame"), ""},
		{"upward", "timing/a.go", goFile("timing", "backporch/pattern"), "timing: may not import pattern"},
		{"sideward", "colorimetry/a.go", goFile("colorimetry", "backporch/timing"), "colorimetry: may not import timing"},
		{"library on workshop", "pattern/a.go", goFile("pattern", "backporch/internal/draw"), "pattern: may not import internal/draw"},
		{"allowed of others", "colorimetry/a.go", goFile("colorimetry", "github.com/lucasb-eyer/go-colorful"), ""},
		{"not allowed of others", "pattern/a.go", goFile("pattern", "golang.org/x/image/bmp"), "pattern: may not import golang.org/x/image/bmp"},
		{"a like name", "colorimetry/a.go", goFile("colorimetry", "github.com/lucasb-eyer/go-colorful2"), "go-colorful2"},
		{"files in the library", "pattern/a.go", goFile("pattern", "os"), "pattern: may not import os"},
		{"process in the library", "timing/a.go", goFile("timing", "os/exec"), "timing: may not import os/exec"},
		{"one encoder on another", "internal/encode/png/a.go", goFile("png", "backporch/internal/encode/y4m"), "may not import internal/encode/y4m"},
		{"an encoder on packing", "internal/encode/png/a.go", goFile("png", "backporch/internal/pixfmt", "io"), ""},
		{"packing with streams", "internal/pixfmt/a.go", goFile("pixfmt", "io"), "internal/pixfmt: may not import io"},
		{"formats on encoders", "internal/format/a.go", goFile("format", "backporch/internal/encode/png"), ""},
		{"no row", "internal/misc/a.go", goFile("misc"), "internal/misc: no row"},
		{"at the root", "a.go", goFile("backporch"), ".: no row"},
		{"the program on all", "internal/cli/a.go", goFile("cli", "backporch/internal/kit", "backporch/timing"), ""},
		{"the program on a test helper", "internal/cli/a.go", goFile("cli", "backporch/internal/goldentest"), "may not import internal/goldentest"},
		{"the command past cli", "cmd/backporch/a.go", goFile("main", "backporch/internal/kit"), "may not import internal/kit"},
		{"testing outside tests", "timing/a.go", goFile("timing", "testing"), "imports testing outside tests"},
		{"cgo", "timing/a.go", "package timing\nimport \"C\"\n", "uses cgo"},
		{"hidden in another system", "timing/a_windows.go", goFile("timing", "os"), "timing: may not import os"},
		{"a test on helpers", "timing/a_test.go", goFile("timing", "testing", "github.com/stretchr/testify/assert", "backporch/internal/goldentest"), ""},
		{"a library test on the workshop", "timing/a_test.go", goFile("timing_test", "backporch/internal/pixfmt"), "its tests may not import internal/pixfmt"},
		{"a test on an unlisted module", "timing/a_test.go", goFile("timing_test", "example.org/check"), "its tests may not import example.org/check"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			all, err := packages(tree(t, map[string]string{tt.file: tt.text}))
			require.NoError(t, err)
			require.Len(t, all, 1)
			bad := breaches(all[0])
			if tt.want == "" {
				assert.Empty(t, bad)
			} else {
				assert.Contains(t, strings.Join(bad, "\n"), tt.want)
			}
		})
	}
}

func TestFaults(t *testing.T) {
	for _, tt := range []struct {
		name, file, text string
		want             string
	}{
		{"plain", "timing/a.go", "package timing\n\nfunc f() int { return 1 }\n", ""},
		{"init", "timing/a.go", "package timing\n\nfunc init() {}\n", "timing/a.go: line 3: an init function"},
		{"init of a test", "timing/a_test.go", "package timing\n\nfunc init() {}\n", "an init function"},
		{"a method may be called init", "timing/a.go", "package timing\n\ntype t int\n\nfunc (t) init() {}\n", ""},
		{"exit", "internal/cli/a.go", "package cli\n\nfunc f() { os.Exit(1) }\n", "line 3: os.Exit outside cmd"},
		{"exit by log", "internal/cli/a.go", "package cli\n\nfunc f() { log.Fatal(1) }\n", "log.Fatal outside cmd"},
		{"exit in cmd", "cmd/backporch/a.go", "package main\n\nfunc main() { os.Exit(1) }\n", ""},
		{"regexp at the start", "internal/cli/a.go", "package cli\n\nvar r = regexp.MustCompile(`a`)\n", "line 3: regexp.MustCompile at package level"},
		{"regexp once needed", "internal/cli/a.go", "package cli\n\nvar r = sync.OnceValue(func() any { return regexp.MustCompile(`a`) })\n", ""},
		{"regexp in a function", "internal/cli/a.go", "package cli\n\nfunc f() { _ = regexp.MustCompile(`a`) }\n", ""},
		{"500 lines", "timing/a.go", "package timing\n" + strings.Repeat("\n", 499), ""},
		{"501 lines", "timing/a.go", "package timing\n" + strings.Repeat("\n", 500), "501 lines"},
		{"501 lines of test", "timing/a_test.go", "package timing\n" + strings.Repeat("\n", 500), ""},
		{"not Go", "timing/a.go", "package\n", "expected"},
		{"machine path", "README.md", "see /ho" + "me/someone/x\n", "a path of one machine"},
		{"machine path in quotes", "cmd/a.go", "package main\n\nvar s = \"/wo" + "rk/x\"\n", "line 3: \"\\\"/wo" + "rk/\""},
		{"a path inside a longer one", "README.md", "https://example.org/wo" + "rk/x and ./wo" + "rk/x\n", ""},
		{"the workplace", "DEVELOPERS.md", "As issue" + " #3 asks\n", "speaks of the workplace"},
		{"an issue of a standard", "README.md", "the issue of field order\n", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			bad := faults(sourceFile{tt.file, []byte(tt.text)})
			if tt.want == "" {
				assert.Empty(t, bad)
			} else {
				assert.Contains(t, strings.Join(bad, "\n"), tt.want)
			}
		})
	}
}

// The walk finds what people write and leaves out what tools left.
func TestSourcesFound(t *testing.T) {
	root := tree(t, map[string]string{
		"a.go": "x", "README.md": "x", ".ci/run": "x", "cmd/testdata/script/a.txtar": "x", "testdata/a.csv": "x",
		"golden/a.png": "x", "timing/testdata/fuzz/F/abc": "x", ".git/a.md": "x", "kit/a.md": "x",
		".gitignore": "/kit/\n",
	})
	all, err := sources(root)
	require.NoError(t, err)
	var got []string
	for _, f := range all {
		got = append(got, f.path)
	}
	assert.ElementsMatch(t, []string{"a.go", "README.md", ".ci/run", "cmd/testdata/script/a.txtar", "testdata/a.csv", ".gitignore"}, got)
}

func TestStrangers(t *testing.T) {
	root := tree(t, map[string]string{
		"go.mod": "", ".ci/run": "", "timing/a.go": "", "util/a.go": "", "notes.txt": "",
		"kit/index.html": "", "backporch": "", ".gitignore": "*.got\n/backporch\n/kit/\n",
	})
	bad, err := strangers(root)
	require.NoError(t, err)
	assert.Equal(t, []string{
		"notes.txt: not on the list of top-level entries",
		"util: not on the list of top-level entries",
	}, bad)
}

func TestUnexplained(t *testing.T) {
	const head = "| file | what | from where | license | date | changes |\n| --- | --- | --- | --- | --- | --- |\n"
	root := tree(t, map[string]string{
		"README.md": head +
			"| `good.csv` | a | b | c | d | e |\n" +
			"| `short.csv` | a | b |\n" +
			"| `empty.csv` | a |  | c | d | e |\n" +
			"| `gone.csv` | a | b | c | d | e |\n" +
			"| `twice.csv` | a | b | c | d | e |\n| `twice.csv` | a | b | c | d | e |\n",
		"good.csv": "", "short.csv": "", "empty.csv": "", "twice.csv": "", "bare.csv": "",
	})
	bad, err := unexplained(root)
	require.NoError(t, err)
	assert.Equal(t, []string{
		"bare.csv: no row in README.md; say what it is, where it came from and its license",
		"empty.csv: its row does not fill six columns",
		"gone.csv: a row without a file",
		"short.csv: its row does not fill six columns",
		"twice.csv: two rows",
	}, bad)
}
