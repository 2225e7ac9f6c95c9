package kit

import (
	"context"
	"encoding/csv"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/testtable"
)

// What readings.csv says of 75 % bars with 7.5 IRE of setup is what SMPTE
// 170M-2004 table A.3 prints: published. The player is not known, so those
// without setup stand beside them.
func TestReadingsPublished(t *testing.T) {
	q := request(filepath.Join(t.TempDir(), "kit"), "480i")
	q.Patterns, q.Formats = []string{"bars-full set=75/0/75/0"}, []string{"png"}
	_, err := Make(context.Background(), q)
	require.NoError(t, err)
	rows, err := csv.NewReader(strings.NewReader(string(tree(t, q.Dir)["readings.csv"]))).ReadAll()
	require.NoError(t, err)
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	found := map[string][]string{}
	wires := map[string]bool{}
	for _, r := range rows[1:] {
		wires[r[column["Wire"]]] = true
		if r[column["Picture"]] == "2" && r[column["Wire"]] == "composite-m" {
			found[r[column["Patch"]]] = r
		}
	}
	assert.Equal(t, map[string]bool{"composite-m": true, "composite-j": true}, wires)
	for _, row := range testtable.Table(t, "smpte170m_75_bars.csv") {
		bar := strings.ToLower(row["bar"])
		require.Contains(t, found, bar)
		near := func(name, want string, within float64) {
			if want == "" {
				assert.Empty(t, found[bar][column[name]], "%s of %s", name, bar)
				return
			}
			figure, err := strconv.ParseFloat(want, 64)
			require.NoError(t, err)
			got, err := strconv.ParseFloat(found[bar][column[name]], 64)
			require.NoError(t, err)
			assert.InDelta(t, figure, got, within, "%s of %s", name, bar)
		}
		near("Luma (IRE)", row["luma_IRE"], 0.006) // two decimals
		near("Angle (deg)", row["phase_deg"], 0.006)
		chroma, err := strconv.ParseFloat(row["chroma_pp_IRE"], 64)
		require.NoError(t, err)
		near("Chroma p-p (mV)", strconv.FormatFloat(chroma/0.14, 'f', -1, 64), 0.006) // 140 IRE are 1 V
	}
}
