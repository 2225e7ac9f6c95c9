package samples

import (
	"encoding/binary"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/testtable"
)

func number(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return v
}

// checkLevel holds both scales to a published code of 10 bits. The table's
// levels are rounded to 0.01 mV, a hundredth of a code; s16 is 32 times that
// code less blanking.
func checkLevel(t *testing.T, lines int, row testtable.Row, mv float64) {
	t.Helper()
	code, err := strconv.Atoi(row["code10"])
	require.NoError(t, err)
	fine, err := strconv.Atoi(row["s16_x32_from_blanking"])
	require.NoError(t, err)
	got, clipped := U16(lines, false).Code(float32(mv))
	assert.Equal(t, code, got, "%s", row["name"])
	assert.False(t, clipped, "%s", row["name"])
	got, clipped = S16(lines).Code(float32(mv))
	assert.InDelta(t, fine, got, 1, "%s", row["name"])
	assert.False(t, clipped, "%s", row["name"])
	assert.InDelta(t, mv, U16(lines, false).Millivolt(code), 0.06, "%s", row["name"]) // 908.3 mV is printed for 1019
	assert.InDelta(t, mv, S16(lines).Millivolt(fine), 0.06, "%s", row["name"])
}

// SMPTE 244M-2003 tables 1 and 2: sync tip 16, blanking 240, white 800, the
// limits 4 and 1019; setup 282 is 240 + 7.5 x 5.6 (calc).
func TestLevels525(t *testing.T) {
	n := 0
	for _, row := range testtable.Table(t, "smpte244.csv") {
		if row["kind"] == "level" {
			checkLevel(t, 525, row, number(t, row["IRE"])*1000/140)
			n++
		}
	}
	assert.Equal(t, 8, n)
}

// EBU Tech 3280-E table 1 and figure 3: sync tip 4, blanking 256, white 844,
// the limit 1019.
func TestLevels625(t *testing.T) {
	table := testtable.Table(t, "ebu3280.csv")
	for _, row := range table {
		checkLevel(t, 625, row, number(t, row["mV"]))
	}
	assert.Len(t, table, 4)
}

func TestCode(t *testing.T) {
	for _, tt := range []struct {
		name    string
		s       Scale
		mv      float32
		code    int
		clipped bool
	}{
		{"below half", U16(525, false), float32(0.49 / 0.784), 240, false},
		{"above half", U16(525, false), float32(0.51 / 0.784), 241, false},
		{"half down to up", Scale{1, 100, 0, 1000}, -0.5, 100, false},
		{"half up", Scale{1, 100, 0, 1000}, 0.5, 101, false},
		{"lowest legal", U16(625, false), -300, 4, false},
		{"too low", U16(625, false), -302, 4, true},
		{"highest legal", U16(625, false), 908, 1019, false},
		{"too high", U16(625, false), 910, 1019, true},
		{"color at 0", U16(625, true), 0, 512, false},
		{"color below", U16(525, true), -350, 238, false}, // 512 - 274.4
		{"word full", S16(525), 1400, 32767, true},
		{"word empty", S16(625), -1300, -32768, true},
		{"endless", S16(625), float32(math.Inf(1)), 32767, true},
	} {
		code, clipped := tt.s.Code(tt.mv)
		assert.Equal(t, tt.code, code, tt.name)
		assert.Equal(t, tt.clipped, clipped, tt.name)
	}
}

// Append is judged by Code, one word at a time, and Extend by Millivolt.
func TestWords(t *testing.T) {
	scales := []Scale{U16(525, false), S16(525), U16(525, true)}
	mv := make([][]float32, 3)
	for v := float32(-1500); v < 1500; v += 0.7 {
		mv[0], mv[1], mv[2] = append(mv[0], v), append(mv[1], -v), append(mv[2], v/2)
	}
	clipped := []int64{1, 0, 0}
	words := Append([]byte("head"), scales, mv, clipped)
	require.Equal(t, "head", string(words[:4]))
	words = words[4:]
	require.Len(t, words, 6*len(mv[0]))
	back := make([][]float32, 3)
	Extend(back, scales, words)
	want := []int64{1, 0, 0}
	for c := range mv {
		require.Len(t, back[c], len(mv[c]))
		for i, v := range mv[c] {
			code, over := scales[c].Code(v)
			require.Equal(t, uint16(code), binary.LittleEndian.Uint16(words[6*i+2*c:]))
			require.Equal(t, scales[c].Millivolt(code), back[c][i])
			if over {
				want[c]++
			} else {
				require.InDelta(t, v, back[c][i], 0.5001/scales[c].PerMillivolt)
			}
		}
	}
	assert.Equal(t, want, clipped)
	assert.NotZero(t, clipped[1])
}

func TestScaleCheck(t *testing.T) {
	for _, lines := range []int{525, 625} {
		for _, s := range []Scale{U16(lines, false), U16(lines, true), S16(lines)} {
			assert.NoError(t, s.Check())
		}
	}
	for name, s := range map[string]Scale{
		"nothing":      {},
		"NaN":          {math.NaN(), 0, 0, 1},
		"endless":      {math.Inf(1), 0, 0, 1},
		"coarse":       {1e-36, 0, 0, 1}, // its levels do not fit a float32
		"fine":         {1e300, 0, 0, 1},
		"upside down":  {1, 0, 10, -10},
		"zero outside": {1, 20, 0, 10},
		"wide":         {1, 0, -1, 40000},
		"long":         {1, 0, 0, 70000},
		"deep":         {1, 0, -40000, 0},
	} {
		assert.Error(t, s.Check(), name)
	}
}

func TestTable(t *testing.T) {
	b := AppendHead(nil, []string{"rate 27 MHz", "termination 75 ohm"}, []string{"Y", "C"})
	b = AppendLine(b, 20, 0.25, 0.5, [][]float32{{-285.71429, -0.0001}, {1, 2.0005}})
	b = AppendLine(b, 21, 0, 0.5, [][]float32{{0}, {0}})
	assert.Equal(t, `# rate 27 MHz
# termination 75 ohm
line,us,Y_mV,C_mV
20,0.250000,-285.714,1.000
20,0.750000,0.000,2.000
21,0.000000,0.000,0.000
`, string(b))
	table, err := ReadTable(strings.NewReader(string(b)))
	require.NoError(t, err)
	assert.Equal(t, &Table{
		Notes: []string{"rate 27 MHz", "termination 75 ohm"}, Channels: []string{"Y", "C"},
		Rows: []Row{
			{20, 0.25, []float64{-285.714, 1}}, {20, 0.75, []float64{0, 2}}, {21, 0, []float64{0, 0}},
		},
	}, table)
}

func TestTableRefuses(t *testing.T) {
	for _, tt := range []struct{ name, text, bad string }{
		{"nothing", "", "there is no row of names"},
		{"notes only", "# a\n# b", "there is no row of names"},
		{"other columns", "# a\nx,y,z\n", "line 2: the columns are not line, us and levels"},
		{"no levels", "line,us\n", "line 1: the columns are not"},
		{"unit", "line,us,Y_V\n", `line 1: column "Y_V" is no level in mV`},
		{"twice", "line,us,Y_mV,Y_mV\n", `column "Y_mV" is no level in mV with a name of its own`},
		{"line", "# a\nline,us,Y_mV\n0,1,2\n", `line 3: "0" is no line of a frame`},
		{"number", "line,us,Y_mV\n1,1,2\n1,x,2\n", `line 3: "x" is no number`},
		{"NaN", "line,us,Y_mV\n1,1,NaN\n", `line 2: "NaN" is no number`},
		{"short", "line,us,Y_mV\n1,1\n", "wrong number of fields"},
	} {
		_, err := ReadTable(strings.NewReader(tt.text))
		assert.ErrorContains(t, err, tt.bad, tt.name)
	}
}

// BenchmarkAppend codes one 625-line frame of one channel.
func BenchmarkAppend(b *testing.B) {
	mv := [][]float32{make([]float32, 709_379)}
	for i := range mv[0] {
		mv[0][i] = float32(i % 700)
	}
	scales, clipped := []Scale{U16(625, false)}, []int64{0}
	var dst []byte
	for b.Loop() {
		dst = Append(dst[:0], scales, mv, clipped)
	}
	b.SetBytes(int64(len(dst)))
}
