package cli

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/table"
	"backporch/internal/testtable"
	"backporch/pattern"
)

// readingsOf returns what the command makes of a command line.
func readingsOf(t *testing.T, args ...string) (*readingsOptions, table.Document) {
	t.Helper()
	var got *readingsOptions
	cmd := newReadings(&Streams{}, func(o *readingsOptions) error { got = o; return nil })
	cmd.SetArgs(args)
	require.NoError(t, cmd.Execute())
	d, err := got.document()
	require.NoError(t, err, "%v", args)
	return got, d
}

// Every pattern on every kind of wire fits the usual terminal of 80 columns.
func TestReadingsFit(t *testing.T) {
	for _, e := range pattern.All() {
		for _, flags := range []string{
			"", "--setup 7.5", "--setup 0 --player-setup 7.5", "--raster 576i", "--wire yc-m", "--wire component-n10",
			"--wire component-betacam --player component-n10", "--wire rgb-700",
		} {
			_, d := readingsOf(t, append([]string{e.Name}, strings.Fields(flags)...)...)
			var b bytes.Buffer
			require.NoError(t, d.Write(&b, table.Text, 80))
			for _, line := range strings.Split(b.String(), "\n") {
				assert.LessOrEqual(t, utf8.RuneCountInString(line), 80, "%s %s: %s", e.Name, flags, line)
			}
		}
	}
}

// readingRow is one row of the JSON, with numbers as numbers.
type readingRow struct {
	Wire, Patch string
	Luma        *float64 `json:"luma_ire"`
	Chroma      *float64 `json:"chroma_pp_ire"`
	Low         *float64 `json:"low_ire"`
	High        *float64 `json:"high_ire"`
	Angle       *float64 `json:"angle_deg"`
	LumaMV      *float64 `json:"luma_mv"`
	PB          *float64 `json:"pb_mv"`
	PR          *float64 `json:"pr_mv"`
	Y8          *int     `json:"y_8_bit"`
	Light       *float64 `json:"light_percent"`
	X, Y        *float64
}

func readingRows(t *testing.T, args ...string) (rows []readingRow, levels map[string]float64) {
	t.Helper()
	_, d := readingsOf(t, append(args, "--json")...)
	var b bytes.Buffer
	require.NoError(t, d.Write(&b, table.JSON, 0))
	var doc struct {
		Schema    string
		Patches   []readingRow
		Interface []struct {
			Level string
			MV    *float64
		}
	}
	require.NoError(t, json.Unmarshal(b.Bytes(), &doc), b.String())
	require.Equal(t, "backporch/readings/1", doc.Schema)
	levels = map[string]float64{}
	for _, l := range doc.Interface {
		if l.MV != nil {
			levels[l.Level] = *l.MV
		}
	}
	return doc.Patches, levels
}

// Of a device the table says what it shows: 3 bits have 71.4 % for 75 %, and
// R'G'B' and light are of the same signal: (5/7)^2.4 is 44.6 %.
func TestReadingsOfDeviceAgree(t *testing.T) {
	_, d := readingsOf(t, "bars-full", "set=75/0/75/0", "--device", "pixel-320", "--json")
	var b bytes.Buffer
	require.NoError(t, d.Write(&b, table.JSON, 0))
	var doc struct {
		Patches []struct {
			Patch string
			R     float64 `json:"r_percent"`
			G     float64 `json:"g_percent"`
			B     float64 `json:"b_percent"`
			Light float64 `json:"light_percent"`
		}
	}
	require.NoError(t, json.Unmarshal(b.Bytes(), &doc))
	require.NotEmpty(t, doc.Patches)
	assert.Equal(t, "white", doc.Patches[0].Patch)
	for _, v := range []float64{doc.Patches[0].R, doc.Patches[0].G, doc.Patches[0].B} {
		assert.InDelta(t, 500.0/7, v, 0.006)
	}
	assert.InDelta(t, 100*math.Pow(5.0/7, 2.4), doc.Patches[0].Light, 0.001)
	assert.Equal(t, "yellow", doc.Patches[1].Patch)
	assert.InDelta(t, 0, doc.Patches[1].B, 0.006)
}

// The figures that the command prints are those of SMPTE 170M-2004 table A.3,
// to the three decimals that it has: while the player is not known, and on the
// wire that is named.
func TestReadingsTableA3(t *testing.T) {
	for _, flags := range [][]string{nil, {"--wire", "composite-m"}} {
		got := map[string]readingRow{}
		rows, _ := readingRows(t, append([]string{"bars-full", "set=75/0/75/0"}, flags...)...)
		for _, r := range rows {
			if r.Wire == "composite-m" {
				got[r.Patch] = r
			}
		}
		for _, row := range testtable.Table(t, "smpte170m_75_bars.csv") {
			r, ok := got[strings.ToLower(row["bar"])]
			require.True(t, ok, row["bar"])
			assert.InDelta(t, row.Float(t, "luma_IRE"), *r.Luma, 0.00056, row["bar"])
			assert.InDelta(t, row.Float(t, "chroma_pp_IRE"), *r.Chroma, 0.00056, row["bar"])
			if row["phase_deg"] == "" {
				assert.Nil(t, r.Angle, row["bar"])
				continue
			}
			assert.InDelta(t, row.Float(t, "min_IRE"), *r.Low, 0.00056, row["bar"])
			assert.InDelta(t, row.Float(t, "max_IRE"), *r.High, 0.00056, row["bar"])
			assert.InDelta(t, row.Float(t, "phase_deg"), *r.Angle, 0.0001, row["bar"])
		}
	}
}

// A file's codes are shown only where it is known what it must hold: plain ones
// while nothing is asked, those of render once the player is known, and none
// for a wire alone.
func TestReadingsCodes(t *testing.T) {
	black := func(args ...string) *int {
		rows, _ := readingRows(t, append([]string{"flat", "color=black"}, args...)...)
		return rows[0].Y8
	}
	require.NotNil(t, black())
	assert.Equal(t, 16, *black())
	assert.Nil(t, black("--setup", "7.5"))
	require.NotNil(t, black("--setup", "7.5", "--player-setup", "0"))
	assert.Equal(t, 32, *black("--setup", "7.5", "--player-setup", "0"))
}

// No file can change the player's sync: N10 has -300 mV, whatever levels are
// put into the file.
func TestReadingsSync(t *testing.T) {
	_, levels := readingRows(t, "flat", "--wire", "component-betacam", "--player", "component-n10")
	assert.InDelta(t, -300, levels["sync tip"], 1e-6)
	assert.InDelta(t, 53.6, levels["black"], 1e-6)
	_, levels = readingRows(t, "flat", "--wire", "component-betacam")
	assert.InDelta(t, -285.7, levels["sync tip"], 1e-6)
}

// The name of a wire, or of the player, says which of the wires it is that have
// the levels; a shorthand stands for composite.
func TestOnWire(t *testing.T) {
	m, j := colorimetry.CompositeM, colorimetry.CompositeJ
	for _, tt := range []struct {
		name  string
		flags pictureFlags
		spec  string
		wire  string
		plan  colorimetry.Plan
	}{
		{"nothing known", pictureFlags{Setup: "as-player"}, "bars-full", "", colorimetry.Plan{}},
		{"setup alone", pictureFlags{Setup: "7.5"}, "bars-full", "composite-m", colorimetry.Plan{Wire: m}},
		{"Y/C", pictureFlags{Setup: "as-player", Wire: "yc-j"}, "bars-full", "yc-j", colorimetry.Plan{Wire: j}},
		{"Y/C in capitals, and its setup", pictureFlags{Setup: "0", Wire: "YC-J"}, "bars-full", "yc-j", colorimetry.Plan{Wire: j}},
		{"player alone", pictureFlags{Setup: "as-player", Player: "yc-m"}, "bars-full", "yc-m", colorimetry.Plan{Wire: m, Player: m}},
		{"setup out of a Y/C player without", pictureFlags{Setup: "7.5", Player: "yc-j"}, "bars-full", "yc-m", colorimetry.Plan{Wire: m, Player: j}},
		{"setup by the spelling of a set", pictureFlags{Setup: "as-player", Player: "yc-j"}, "bars-full set=75/7.5/75/7.5", "yc-m", colorimetry.Plan{Wire: m, Player: j}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			pt, err := pattern.Parse(tt.spec)
			require.NoError(t, err)
			tt.flags.Raster, tt.flags.Aspect, tt.flags.Edges = "480i", "4:3", "shaped"
			v, w, err := tt.flags.onWire(pt)
			require.NoError(t, err)
			assert.Equal(t, tt.plan, v.Plan)
			if tt.wire == "" {
				assert.Nil(t, w)
				return
			}
			require.NotNil(t, w)
			assert.Equal(t, tt.wire, w.Name)
			assert.Same(t, v.Plan.Wire, w.Family)
		})
	}
}
