package arch

import (
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"backporch/internal/testtable"

	"github.com/stretchr/testify/require"
)

// ignored reports whether .gitignore names an entry of the top level: what
// the commands of the documents leave there is not part of the module.
func ignored(root, name string) bool {
	b, err := os.ReadFile(filepath.Join(root, ".gitignore"))
	if err != nil || strings.Contains(name, "/") {
		return false
	}
	for line := range strings.Lines(string(b)) {
		line, anchored := strings.CutPrefix(strings.TrimSpace(line), "/")
		if ok, _ := path.Match(strings.TrimSuffix(line, "/"), name); ok && anchored {
			return true
		}
	}
	return false
}

// strangers lists what stands at the top level and should not.
func strangers(root string) (bad []string, err error) {
	entries, err := os.ReadDir(root)
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		name := e.Name()
		if !strings.HasPrefix(name, ".") && !slices.Contains(topLevel, name) && !ignored(root, name) {
			bad = append(bad, name+": not on the list of top-level entries")
		}
	}
	return bad, nil
}

func TestTopLevel(t *testing.T) {
	bad, err := strangers(testtable.Root(t))
	require.NoError(t, err)
	for _, b := range bad {
		t.Error(b)
	}
}

// unexplained compares the files of a testdata folder with the rows of its
// README.md: each file has one, with every column filled, and each row a file.
func unexplained(dir string) (bad []string, err error) {
	readme, err := os.ReadFile(filepath.Join(dir, "README.md"))
	if err != nil {
		return nil, err
	}
	rows := map[string]bool{}
	for line := range strings.Lines(string(readme)) {
		cells := strings.Split(strings.TrimSpace(line), "|")
		if len(cells) < 2 || !strings.HasPrefix(strings.TrimSpace(cells[1]), "`") {
			continue
		}
		name := strings.Trim(strings.TrimSpace(cells[1]), "`")
		// | file | what | from where | license | date | changes |
		if len(cells) != 8 || slices.ContainsFunc(cells[1:7], func(c string) bool { return strings.TrimSpace(c) == "" }) {
			bad = append(bad, name+": its row does not fill six columns")
		}
		if rows[name] {
			bad = append(bad, name+": two rows")
		}
		rows[name] = true
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		switch name := e.Name(); {
		case name == "README.md":
		case !rows[name]:
			bad = append(bad, name+": no row in README.md; say what it is, where it came from and its license")
		default:
			delete(rows, name)
		}
	}
	for name := range rows {
		bad = append(bad, name+": a row without a file")
	}
	slices.Sort(bad)
	return bad, nil
}

func TestProvenance(t *testing.T) {
	bad, err := unexplained(filepath.Join(testtable.Root(t), "testdata"))
	require.NoError(t, err)
	for _, b := range bad {
		t.Error("testdata/" + b)
	}
}
