// Package goldentest compares what the program makes with what it made
// before, kept in the module's golden folder. Only tests import it.
//
// A test binary that imports the package has the flag -update, which writes
// the kept files anew: name exactly the packages that import it, because
// go test ./... -update fails in all others. Look at the change before you
// commit it. What differs is left beside the kept file, as <name>.got (or
// <name>.got.png), for the eye.
//
// A golden file proves that nothing has changed, never that it was right:
// figures of a standard are checked against testdata.
package goldentest

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"backporch/internal/testtable"
)

var update = flag.Bool("update", false, "write the golden files anew")

// store is a folder of kept files.
type store struct {
	dir    string
	update bool
}

// golden is the module's own store.
func golden(t testing.TB) store {
	t.Helper()
	return store{filepath.Join(testtable.Root(t), "golden"), *update}
}

// Bytes compares got with golden/<name>, byte for byte.
func Bytes(t testing.TB, name string, got []byte) {
	t.Helper()
	if err := golden(t).bytes(name, got); err != nil {
		t.Error(err)
	}
}

func (s store) bytes(name string, got []byte) error {
	if s.update {
		return s.write(name, got)
	}
	want, err := s.read(name)
	if err != nil {
		return err
	}
	if bytes.Equal(got, want) {
		return nil
	}
	if err := s.write(name+".got", got); err != nil {
		return err
	}
	at := firstDiff(got, want)
	return fmt.Errorf("golden/%s: differs from byte %d (line %d): got %s, want %s; see %s.got",
		name, at, 1+bytes.Count(want[:at], []byte("\n")), excerpt(got, at), excerpt(want, at), name)
}

// read returns a kept file, or an error that says how to make it.
func (s store) read(name string) ([]byte, error) {
	b, err := os.ReadFile(filepath.Join(s.dir, name))
	if err != nil {
		return nil, fmt.Errorf("%w (run this test with -update, look at the new file, and commit it)", err)
	}
	return b, nil
}

// write writes a file of the store, and its folders, unless the same bytes
// are there already: a file that did not change keeps its time.
func (s store) write(name string, b []byte) error {
	path := filepath.Join(s.dir, name)
	if old, err := os.ReadFile(path); err == nil && bytes.Equal(old, b) {
		return nil
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	return os.WriteFile(path, b, 0o644)
}

// firstDiff returns the first place at which a and b differ; they do.
func firstDiff(a, b []byte) int {
	n := min(len(a), len(b))
	for i := range n {
		if a[i] != b[i] {
			return i
		}
	}
	return n
}

// excerpt quotes a few bytes of b from a place on.
func excerpt(b []byte, at int) string {
	const few = 24
	if at == len(b) {
		return "the end"
	}
	return fmt.Sprintf("%q", b[at:min(at+few, len(b))])
}
