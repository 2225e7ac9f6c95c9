// Package testtable reads the published tables in the module's testdata
// folder for the tests of every package. Only tests import it.
//
// A table is a CSV whose first lines, beginning with #, give its title, its
// sources and how far each figure may be trusted; the first line after them
// names the columns. Where each file comes from is in testdata/README.md.
package testtable

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"maps"
	"math/big"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// Root returns the folder of the module that holds the working directory:
// the nearest one upward with a go.mod. It asks the working directory and not
// runtime.Caller, whose paths are not files under -trimpath.
func Root(t testing.TB) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatalf("testtable: no working directory: %v", err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
		up := filepath.Dir(dir)
		if up == dir {
			t.Fatal("testtable: no go.mod in the working directory or above it")
		}
		dir = up
	}
}

// Row is one line of a table, by the name of its column. An empty cell is an
// empty string. The methods fail the test when the column does not exist, so
// that a misspelled name cannot pass as an empty cell.
type Row map[string]string

// Table returns the rows of testdata/<name>, in order. It fails the test when
// the file is missing, ragged, or names a column twice, or has no rows.
func Table(t testing.TB, name string) []Row {
	t.Helper()
	f, err := os.Open(filepath.Join(Root(t), "testdata", name))
	if err != nil {
		t.Fatalf("testtable: %v", err)
	}
	defer f.Close()
	rows, err := read(f)
	if err != nil {
		t.Fatalf("testtable: testdata/%s: %v", name, err)
	}
	return rows
}

// read parses a table. Every row has as many cells as the head.
func read(r io.Reader) ([]Row, error) {
	c := csv.NewReader(r)
	c.Comment = '#'
	head, err := c.Read()
	if errors.Is(err, io.EOF) {
		return nil, errors.New("no head line")
	}
	if err != nil {
		return nil, err
	}
	for i, name := range head {
		if slices.Contains(head[:i], name) {
			return nil, fmt.Errorf("column %q twice", name)
		}
	}
	cells, err := c.ReadAll() // ragged rows are its error
	if err != nil {
		return nil, err
	}
	if len(cells) == 0 {
		return nil, errors.New("no rows")
	}
	rows := make([]Row, len(cells))
	for i, line := range cells {
		rows[i] = make(Row, len(head))
		for j, name := range head {
			rows[i][name] = line[j]
		}
	}
	return rows, nil
}

// Text returns the cell of a column, which may be empty.
func (r Row) Text(t testing.TB, column string) string {
	t.Helper()
	s, ok := r[column]
	if !ok {
		t.Fatalf("testtable: no column %q; there are %s", column, strings.Join(slices.Sorted(maps.Keys(r)), ", "))
	}
	return s
}

// Int returns the cell of a column as a whole number: decimal, or hexadecimal
// behind 0x.
func (r Row) Int(t testing.TB, column string) int {
	t.Helper()
	s := r.Text(t, column)
	base := 10
	if strings.HasPrefix(s, "0x") {
		s, base = s[2:], 16
	}
	n, err := strconv.ParseInt(s, base, 0)
	if err != nil {
		t.Fatalf("testtable: column %q: %q is not a whole number", column, r[column])
	}
	return int(n)
}

// Float returns the cell of a column as a number.
func (r Row) Float(t testing.TB, column string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(r.Text(t, column), 64)
	if err != nil {
		t.Fatalf("testtable: column %q: %q is not a number", column, r[column])
	}
	return x
}

// Rat returns the cell of a column as an exact number: "572/9", "5/11" or a
// decimal, which is taken to be exact.
func (r Row) Rat(t testing.TB, column string) *big.Rat {
	t.Helper()
	x, ok := new(big.Rat).SetString(r.Text(t, column))
	if !ok {
		t.Fatalf("testtable: column %q: %q is not an exact number", column, r[column])
	}
	return x
}
