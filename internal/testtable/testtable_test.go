package testtable

import (
	"math/big"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every table that came with the project must be readable here, or a test
// that skips over a broken row would prove less than it says.
func TestEveryTableReads(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(Root(t), "testdata", "*.csv"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, f := range files {
		assert.NotEmpty(t, Table(t, filepath.Base(f)), filepath.Base(f))
	}
}

// Spot figures of three kinds, from the documents named.
func TestCells(t *testing.T) {
	line := Table(t, "horiz_525.csv")[0]
	assert.Equal(t, "line period H", line.Text(t, "item"))
	// SMPTE 170M-2004 table 2: the line is 910 cycles of 4 x 315/88 MHz.
	assert.Equal(t, big.NewRat(910*88, 4*315), line.Rat(t, "us_exact"))

	eav := Table(t, "bt656_flags.csv")[1]
	// ITU-R BT.656: F 0, V 0, H 1 is 1001 1101.
	assert.Equal(t, 0b1001_1101, eav.Int(t, "XY_8bit"))

	white := Table(t, "smpte170m_75_bars.csv")[0]
	// SMPTE 170M-2004 Annex A table A.3; 7.5 + 0.925 x 75 IRE.
	assert.Equal(t, 76.875, white.Float(t, "luma_IRE"))
	assert.Empty(t, white.Text(t, "phase_deg"), "white has no phase")
}

func TestRefuses(t *testing.T) {
	for _, tt := range []struct{ name, table, want string }{
		{"nothing", "# title only\n", "no head line"},
		{"no rows", "a,b\n", "no rows"},
		{"ragged", "a,b\n1\n", "wrong number of fields"},
		{"column twice", "a,a\n1,2\n", `column "a" twice`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := read(strings.NewReader(tt.table))
			assert.ErrorContains(t, err, tt.want)
		})
	}
}

// failed runs f with a stand-in for the test and returns what it died of.
func failed(f func(testing.TB)) string {
	r := &recorder{}
	done := make(chan struct{})
	go func() {
		defer close(done)
		defer func() { _ = recover() }()
		f(r)
	}()
	<-done
	return r.message
}

// A misspelled column or a cell of another kind must not pass as zero.
func TestCellsFail(t *testing.T) {
	row := Row{"luma": "n/a", "chroma": "1.5"}
	assert.Contains(t, failed(func(t testing.TB) { row.Text(t, "lume") }), `no column "lume"; there are chroma, luma`)
	assert.Contains(t, failed(func(t testing.TB) { row.Float(t, "luma") }), "not a number")
	assert.Contains(t, failed(func(t testing.TB) { row.Int(t, "chroma") }), "not a whole number")
	assert.Contains(t, failed(func(t testing.TB) { row.Rat(t, "luma") }), "not an exact number")
	assert.Contains(t, failed(func(t testing.TB) { Table(t, "nosuch.csv") }), "nosuch.csv")
}

func TestRoot(t *testing.T) {
	root := Root(t)
	b, err := os.ReadFile(filepath.Join(root, "go.mod"))
	require.NoError(t, err)
	assert.Contains(t, string(b), "module backporch\n")

	t.Chdir(t.TempDir())
	assert.Contains(t, failed(func(t testing.TB) { Root(t) }), "no go.mod")
}
