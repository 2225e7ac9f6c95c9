package bt656

import (
	"encoding/binary"
	"fmt"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/testtable"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// All eight timing reference words of 8 and of 10 bits, with their protection
// bits: testdata/bt656_flags.csv (ITU-R BT.656; equal to open C code).
func TestReference(t *testing.T) {
	for _, row := range testtable.Table(t, "bt656_flags.csv") {
		f, v, h := uint8(row.Int(t, "F")), uint8(row.Int(t, "V")), uint8(row.Int(t, "H"))
		got := Reference(f, v, h)
		assert.Equal(t, row.Int(t, "XY_8bit"), int(got), "F %d V %d H %d", f, v, h)
		assert.Equal(t, row.Int(t, "XY_10bit"), int(got)<<2, "F %d V %d H %d", f, v, h)
		assert.Equal(t, map[uint8]string{0: "SAV", 1: "EAV"}[h], row.Text(t, "code"))
		p := row.Int(t, "P3")<<3 | row.Int(t, "P2")<<2 | row.Int(t, "P1")<<1 | row.Int(t, "P0")
		assert.Equal(t, p, int(got&15), "protection bits of F %d V %d H %d", f, v, h)
	}
}

// F and V of every line: testdata/lines_525.csv and lines_625.csv (secondary
// for F and V). The older edition may have V = 0 in lines 10-19 and 273-282;
// ours does, as bt656_line_ranges.csv notes it.
func TestFlagsOfEveryLine(t *testing.T) {
	rows := testtable.Table(t, "lines_525.csv")
	require.Len(t, rows, 525)
	for _, row := range rows {
		line := row.Int(t, "line")
		f, v := Flags(timing.System525, Current, line)
		assert.Equal(t, row.Int(t, "F_bt656"), int(f), "line %d", line)
		assert.Equal(t, row.Int(t, "V_bt656_5"), int(v), "line %d", line)
		f, v = Flags(timing.System525, Legacy, line)
		assert.Equal(t, row.Int(t, "F_bt656"), int(f), "line %d", line)
		want := row.Text(t, "V_legacy")
		if want == "optional 0/1" {
			want = "0"
		}
		assert.Equal(t, want, fmt.Sprint(v), "line %d, older edition", line)
	}
	rows = testtable.Table(t, "lines_625.csv")
	require.Len(t, rows, 625)
	for _, row := range rows {
		line := row.Int(t, "line")
		for _, e := range []Edition{Current, Legacy} {
			f, v := Flags(timing.System625, e, line)
			assert.Equal(t, row.Int(t, "F_bt656"), int(f), "line %d", line)
			assert.Equal(t, row.Int(t, "V_bt656"), int(v), "line %d", line)
		}
	}
}

// The first line of each state: testdata/bt656_line_ranges.csv (secondary).
func TestLineRanges(t *testing.T) {
	systems := map[string]*timing.System{"525/60": timing.System525, "625/50": timing.System625}
	for _, row := range testtable.Table(t, "bt656_line_ranges.csv") {
		s, line, event := systems[row.Text(t, "system")], row.Int(t, "line"), row.Text(t, "event")
		require.NotNil(t, s)
		last := map[*timing.System]int{timing.System525: 525, timing.System625: 625}[s]
		before := line - 1
		if before == 0 {
			before = last
		}
		f0, v0 := Flags(s, Current, before)
		f1, v1 := Flags(s, Current, line)
		was, is := f0, f1
		if event[0] == 'V' {
			was, is = v0, v1
		}
		assert.Equal(t, event[2]-'0', is, "%s: %s in line %d", s.Name, event, line)
		if !(s == timing.System525 && line == 1) { // V is 1 in line 1, but since when depends on line 525
			assert.NotEqual(t, was, is, "%s: %s not before line %d", s.Name, event, line)
		}
	}
	// Older editions: 10 and 273.
	for _, line := range []int{10, 273} {
		_, before := Flags(timing.System525, Legacy, line-1)
		_, v := Flags(timing.System525, Legacy, line)
		assert.Equal(t, [2]uint8{1, 0}, [2]uint8{before, v}, "line %d", line)
	}
}

func TestLattice(t *testing.T) {
	for _, name := range []string{"480i", "480i-dv", "480i-cea", "486i"} {
		r, err := Lattice(timing.Lookup(name))
		require.NoError(t, err)
		assert.Equal(t, 486, r.Height(), "lines 21-263 and 283-525")
		assert.Equal(t, timing.Line{Number: 283, Field: 2}, r.Lines[0])
	}
	r, err := Lattice(timing.Lookup("576i"))
	require.NoError(t, err)
	assert.Equal(t, 576, r.Height())

	change := func(f func(r *timing.Raster)) *timing.Raster {
		r := *timing.Lookup("480i")
		f(&r)
		return &r
	}
	for _, tt := range []struct {
		r    *timing.Raster
		want string
	}{
		{timing.Lookup("240p"), "raster 240p is not interlaced, and BT.656 carries whole frames of 525 or 625 interlaced lines; use raster 480i or 576i"},
		{timing.Lookup("288p"), "raster 288p is not interlaced"},
		{change(func(r *timing.Raster) { r.Clock = timing.R(135_000_000, 11) }), "raster 480i is clocked at 135000000/11 Hz, and BT.656 is at 13500000; use"},
		{change(func(r *timing.Raster) { r.Free = true }), "clocked"},
		{change(func(r *timing.Raster) { r.Width = 704 }), "raster 480i has 704 samples a line, and BT.656 has 720; use"},
		{change(func(r *timing.Raster) { r.Start = timing.Int(130) }), "begins 130 samples after 0H, and BT.656 at 122"},
	} {
		_, err := Lattice(tt.r)
		assert.ErrorContains(t, err, tt.want)
	}
}

func TestEditionNames(t *testing.T) {
	for _, n := range Editions() {
		e, err := ParseEdition(n)
		require.NoError(t, err)
		assert.Equal(t, n, e.String())
	}
	_, err := ParseEdition("newest")
	assert.EqualError(t, err, `unknown edition "newest" of BT.656; use current or legacy`)
	assert.Equal(t, "Edition(7)", Edition(7).String())
}

// numbered returns a frame whose luma tells row and sample, chroma the row.
func numbered(r *timing.Raster) *frame.Frame {
	f := &frame.Frame{Raster: r, Sampling: frame.S422}
	for c := range f.Planes {
		w := samples
		if c > 0 {
			w /= 2
		}
		rows, lines := make([][]float64, r.Height()), make([]int32, r.Height())
		for j := range rows {
			rows[j], lines[j] = make([]float64, w), int32(j)
			for i := range rows[j] {
				rows[j][i] = float64((i+3*j)%220)/219 - float64(min(c, 1))*0.5
			}
		}
		f.Planes[c] = frame.Plane{Rows: rows, Lines: lines}
	}
	return f
}

// interlaced are the rasters whose whole frames are looked at.
func interlaced() []string {
	if testing.Short() {
		return []string{"480i"}
	}
	return []string{"480i", "576i"}
}

var codings = map[int]*colorimetry.Coding{8: colorimetry.YCbCr8, 10: colorimetry.YCbCr10}

// A whole frame, word by word, against a slow twin written from the words of
// the standard: each line EAV, blanking, SAV, active words.
func TestAppend(t *testing.T) {
	for _, name := range interlaced() {
		for bits, k := range codings {
			for _, e := range []Edition{Current, Legacy} {
				t.Run(fmt.Sprintf("%s %d bits %v", name, bits, e), func(t *testing.T) {
					r, err := Lattice(timing.Lookup(name))
					require.NoError(t, err)
					f := numbered(r)
					got := NewEncoder(k, e).Append([]byte("ab"), f)
					require.Equal(t, "ab", string(got[:2]))
					got = got[2:]
					require.Len(t, got, FrameSize(r.Scan, bits))
					var words []int
					for i := 0; i < len(got); i += 1 + bits/10 {
						if bits == 8 {
							words = append(words, int(got[i]))
						} else {
							words = append(words, int(binary.LittleEndian.Uint16(got[i:])))
						}
					}
					perLine := map[string]int{"480i": 1716, "576i": 1728}[name]
					require.Equal(t, r.Scan.Lines*perLine, len(words))
					rowOf := map[int]int{}
					for j, l := range r.Lines {
						rowOf[l.Number] = j
					}
					u := 1 << (bits - 8)
					for line := 1; line <= r.Scan.Lines; line++ {
						w := words[(line-1)*perLine:][:perLine]
						fbit, v := Flags(r.Scan.System, e, line)
						ones := 1<<bits - 1
						want := []int{ones, 0, 0, int(Reference(fbit, v, 1)) * u}
						for len(want) < perLine-1440-4 {
							want = append(want, 0x80*u, 0x10*u) // 8 bits 80 10, 10 bits 200 040
						}
						want = append(want, ones, 0, 0, int(Reference(fbit, v, 0))*u)
						j, picture := rowOf[line]
						for i := range 720 {
							luma, chroma := 0x10*u, 0x80*u
							if picture {
								s := k.Codes(colorimetry.Signal{Y: f.Planes[0].Row(j)[i], CB: f.Planes[1].Row(j)[i/2], CR: f.Planes[2].Row(j)[i/2]})
								luma, chroma = int(s[0]), int(s[1+i%2]) // Cb Y Cr Y
							}
							want = append(want, chroma, luma)
						}
						for i := range want {
							if w[i] != want[i] {
								require.FailNow(t, fmt.Sprintf("line %d, word %d is %#x, want %#x", line, i, w[i], want[i]))
							}
						}
					}
				})
			}
		}
	}
}

func TestAppendAllocatesOnce(t *testing.T) {
	r, err := Lattice(timing.Lookup("480i"))
	require.NoError(t, err)
	f := numbered(r)
	z := NewEncoder(colorimetry.YCbCr8, Current)
	buf := z.Append(nil, f)
	assert.Zero(t, testing.AllocsPerRun(3, func() { buf = z.Append(buf[:0], f) }))
	// A frame of the other system in between leaves no trace.
	other, err := Lattice(timing.Lookup("576i"))
	require.NoError(t, err)
	z.Append(nil, numbered(other))
	assert.Equal(t, buf, z.Append(nil, f))
}

func TestPanics(t *testing.T) {
	r := timing.Lookup("480i")
	f := numbered(r)
	f.Sampling = frame.S444
	assert.Panics(t, func() { NewEncoder(colorimetry.YCbCr8, Current).Append(nil, f) })
	assert.Panics(t, func() { NewEncoder(colorimetry.RGB8, Current) })
}
