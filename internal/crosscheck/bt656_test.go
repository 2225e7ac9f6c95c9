package crosscheck

import (
	"encoding/binary"
	"fmt"
	"slices"
	"testing"

	"backporch/internal/format"
	"backporch/internal/testtable"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A digitalLine is a line of the interface, its words brought to 10 bits.
type digitalLine struct {
	eav, sav uint16
	blank    []uint16 // between EAV and SAV
	active   []uint16 // Cb Y Cr Y
}

// digitalLines takes a frame apart by the words of ITU-R BT.656 alone: 3FF 000
// 000 XY begins a line, the next one its active part. It knows no line length.
func digitalLines(t *testing.T, b []byte, bits int) []digitalLine {
	t.Helper()
	var words []uint16
	if bits == 8 {
		for _, v := range b {
			w := uint16(v) << 2
			if v == 0xff {
				w = 0x3ff
			}
			words = append(words, w)
		}
	} else {
		require.Zero(t, len(b)%2)
		for i := 0; i < len(b); i += 2 {
			words = append(words, binary.LittleEndian.Uint16(b[i:]))
		}
	}
	var at []int
	for i := 0; i+3 < len(words); i++ {
		if words[i] == 0x3ff && words[i+1] == 0 && words[i+2] == 0 {
			at = append(at, i)
		}
	}
	require.Zero(t, at[0], "words before the first timing reference")
	require.Zero(t, len(at)%2, "timing references come in pairs")
	at = append(at, len(words))
	var lines []digitalLine
	for i := 0; i+2 < len(at); i += 2 {
		lines = append(lines, digitalLine{
			eav: words[at[i]+3], sav: words[at[i+1]+3],
			blank:  words[at[i]+4 : at[i+1]],
			active: words[at[i+1]+4 : at[i+2]],
		})
	}
	return lines
}

// referenceWords returns XY by F, V, H of testdata/bt656_flags.csv.
func referenceWords(t *testing.T) map[[3]int]uint16 {
	t.Helper()
	words := map[[3]int]uint16{}
	for _, r := range testtable.Table(t, "bt656_flags.csv") {
		words[[3]int{r.Int(t, "F"), r.Int(t, "V"), r.Int(t, "H")}] = uint16(r.Int(t, "XY_10bit"))
	}
	require.Len(t, words, 8)
	return words
}

// flagsOf returns F and V of every line, from 1, by
// testdata/bt656_line_ranges.csv (secondary): the first line of each state, in
// the order of the frame. The older edition differs in two lines.
func flagsOf(t *testing.T, system, edition string) (f, v []int) {
	t.Helper()
	type change struct{ line, f, v int }
	var list []change
	for _, r := range testtable.Table(t, "bt656_line_ranges.csv") {
		if r.Text(t, "system") != system {
			continue
		}
		c := change{r.Int(t, "line"), -1, -1}
		event := r.Text(t, "event")
		_, err := fmt.Sscanf(event, "F=%d", &c.f)
		if err != nil {
			_, err = fmt.Sscanf(event, "V=%d", &c.v)
		}
		require.NoError(t, err, event)
		if edition == "legacy" && c.v == 0 && system == "525/60" {
			c.line -= 10 // 20 and 283 become 10 and 273
		}
		list = append(list, c)
	}
	lines := 525
	if system == "625/50" {
		lines = 625
	}
	f, v = make([]int, lines+1), make([]int, lines+1)
	slices.SortFunc(list, func(a, b change) int { return a.line - b.line })
	// Twice around, so that the beginning knows the state at the end.
	nowF, nowV := 0, 0
	for range 2 {
		for n := 1; n <= lines; n++ {
			for _, c := range list {
				if c.line == n && c.f >= 0 {
					nowF = c.f
				}
				if c.line == n && c.v >= 0 {
					nowV = c.v
				}
			}
			f[n], v[n] = nowF, nowV
		}
	}
	return f, v
}

// TestBT656 takes a frame of every pattern apart, and holds the timing
// references to the published tables, the lengths to ITU-R BT.601-5 table 2
// (858 and 864 periods, 720 of them active), blanking to its level, and every
// active line to the definition: the twin sampled on every picture line of the
// system.
func TestBT656(t *testing.T) {
	names := []string{"480i", "480i-dv", "480i-cea", "486i", "576i", "576i-dv"}
	if testing.Short() {
		names = names[:1]
	}
	for _, name := range names {
		r := timing.Lookup(name)
		for _, c := range []format.Choice{{Name: "bt656"}, {Name: "bt656", Depth: 10}, {Name: "bt656", Edition: "legacy"}} {
			for _, spec := range specs() {
				t.Run(fmt.Sprint(name, c.Depth, c.Edition, "/", spec), func(t *testing.T) {
					t.Parallel()
					checkBT656(t, shot{spec: spec, raster: r, choice: c})
				})
			}
		}
	}
}

// pictureLines returns which analog lines have picture, and how the rows of
// the studio frame are numbered: SMPTE 170M figure 6 (525), EBU Tech 3280-E
// figure 6 (625).
func pictureLines(r *timing.Raster) []timing.Line {
	var lines []timing.Line
	if r.Scan.System == timing.System525 {
		for i := range 243 {
			lines = append(lines, timing.Line{Number: 283 + i, Field: 2}, timing.Line{Number: 21 + i, Field: 1})
		}
		return lines
	}
	for i := range 288 {
		lines = append(lines, timing.Line{Number: 23 + i, Field: 1}, timing.Line{Number: 336 + i, Field: 2})
	}
	return lines
}

func checkBT656(t *testing.T, q shot) {
	t.Helper()
	j := q.job(t)
	bits := j.Format.Coding.Bits
	lines := digitalLines(t, file(t, j), bits)

	system, total := q.raster.Scan.System.Name, 858
	if q.raster.Scan.System == timing.System625 {
		total = 864
	}
	f, v := flagsOf(t, system, q.choice.Edition)
	require.Len(t, lines, len(f)-1)
	words := referenceWords(t)

	full := *q.raster
	full.Lines = pictureLines(q.raster)
	z := twinOf(j, &full)
	row := map[int]int{}
	for k, l := range full.Lines {
		row[l.Number] = k
	}
	for i, l := range lines {
		n := i + 1
		require.Equal(t, words[[3]int{f[n], v[n], 1}], l.eav, "EAV of line %d", n)
		require.Equal(t, words[[3]int{f[n], v[n], 0}], l.sav, "SAV of line %d", n)
		require.Len(t, l.active, 1440, "line %d", n)
		require.Len(t, l.blank, 2*total-1440-8, "line %d", n)
		requireBlank(t, l.blank, n)
		k, picture := row[n]
		if !picture {
			requireBlank(t, l.active, n)
			continue
		}
		for x := range 360 {
			four := l.active[4*x : 4*x+4]
			for w, real := range [...]float64{
				scale(1, z.planes[1][k][x], bits), scale(0, z.planes[0][k][2*x], bits),
				scale(2, z.planes[2][k][x], bits), scale(0, z.planes[0][k][2*x+1], bits),
			} {
				if got := four[w] >> (10 - bits); !isCode(got, real) {
					require.FailNow(t, "wrong code", "%v: word %d of line %d is %d, want the code of %.6f", q, 4*x+w, n, got, real)
				}
			}
		}
	}
}

// requireBlank holds words to 200h 040h by turns (ITU-R BT.656 blanking level,
// secondary).
func requireBlank(t *testing.T, words []uint16, line int) {
	t.Helper()
	for i, w := range words {
		if want := [2]uint16{0x200, 0x40}[i%2]; w != want {
			require.Equal(t, want, w, "blanking word %d of line %d", i, line)
		}
	}
}

// TestBT656Refused: rasters that the interface cannot carry are refused with
// the way out.
func TestBT656Refused(t *testing.T) {
	for _, r := range timing.Rasters() {
		_, err := shot{spec: "ramp", raster: r, choice: format.Choice{Name: "bt656"}}.layout()
		if r.Scan.Interlaced() {
			assert.NoError(t, err, r.Name)
		} else {
			assert.ErrorContains(t, err, "use raster 480i or 576i", r.Name)
		}
	}
}

// TestBT656IsTheFile: the lines that a 4:2:2 file of the studio frame has are
// those of the stream, code for code.
func TestBT656IsTheFile(t *testing.T) {
	for _, name := range []string{"486i", "576i"} {
		r := timing.Lookup(name)
		for _, spec := range specs() {
			stream := shot{spec: spec, raster: r, choice: format.Choice{Name: "bt656"}}
			lines := digitalLines(t, stream.bytes(t), 8)
			uyvy := shot{spec: spec, raster: r, choice: format.Choice{Name: "uyvy"}}.bytes(t)
			require.Equal(t, frame.S422, stream.job(t).Format.Sampling(r))
			for j, l := range r.Lines {
				for i, b := range uyvy[j*1440 : (j+1)*1440] {
					if w := lines[l.Number-1].active[i]; w>>2 != uint16(b) {
						require.FailNow(t, "differs", "%s on %s: word %d of line %d", spec, name, i, l.Number)
					}
				}
			}
		}
	}
}
