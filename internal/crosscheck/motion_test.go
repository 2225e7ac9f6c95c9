package crosscheck

import (
	"bytes"
	"errors"
	"io"
	"slices"
	"testing"

	"backporch/internal/encode/y4m"
	"backporch/internal/format"
	"backporch/internal/pixfmt"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The tests of this file write streams of moving pictures and read them back:
// a row must show what its pattern defines at the time of its field, and field 1
// is the older one whatever the order of the rows.

// A lumaRow is the luma of a row of a stream, or one color of R'G'B', and the
// field time to which what carries it says that it belongs.
type lumaRow struct {
	time int
	luma []uint16
}

// playFields reads every row of a stream that has one. The order of fields is
// that of a y4m's own header and of the F bits of BT.656; raw frames say
// nothing, so for them it is the first row's by the raster.
func playFields(t *testing.T, r *timing.Raster, c format.Choice, b []byte) (rows []lumaRow) {
	t.Helper()
	fieldOf := func(order byte, j int) int { // 0 or 1
		if order == 'b' {
			return 1 - j%2
		}
		return j % 2
	}
	add := func(codes *pixfmt.Codes, order byte, n int) {
		for j := range codes.Height {
			rows = append(rows, lumaRow{2*n + fieldOf(order, j), codes.Row(0, j)})
		}
	}
	switch c.Name {
	case "y4m":
		z, err := y4m.NewReader(bytes.NewReader(b))
		require.NoError(t, err)
		for n := 0; ; n++ {
			codes, err := z.Next()
			if errors.Is(err, io.EOF) {
				return rows
			}
			require.NoError(t, err)
			add(codes, z.Header.Interlace, n)
		}
	case "bt656":
		bits := max(c.Depth, 8)
		frame := 0
		was := -1
		for _, l := range digitalLines(t, b, bits) {
			// XY is 1 F V H and four bits that protect them (ITU-R BT.656).
			f, v := int(l.sav>>8&1), l.sav>>7&1
			if was == 1 && f == 0 {
				frame++ // the first lines of a frame belong to the end of field 2 on 525 lines
			}
			was = f
			if v == 1 || slices.Max(l.active) < 0x200+1 {
				continue
			}
			var luma []uint16
			for i := 1; i < len(l.active); i += 2 {
				luma = append(luma, l.active[i])
			}
			// Frames count from the first change to field 1.
			first := 1
			if r.Scan.System == timing.System625 {
				first = 0 // a frame of 625 lines begins with field 1
			}
			rows = append(rows, lumaRow{2*(frame-first) + f, luma})
		}
		return rows
	}
	l := pixfmt.Lookup(c.Name)
	require.NotNil(t, l, c.Name)
	size := l.Size(r.Width, r.Height())
	order := byte('t')
	if r.Order() == timing.BottomFirst {
		order = 'b'
	}
	require.Zero(t, len(b)%size)
	for n := range len(b) / size {
		codes, err := l.Unpack(b[n*size:(n+1)*size], r.Width, r.Height())
		require.NoError(t, err)
		add(codes, order, n)
	}
	return rows
}

// streamChoices are all stream formats, with the depths and chroma of y4m.
func streamChoices(t *testing.T) (list []format.Choice) {
	t.Helper()
	for _, name := range format.Names() {
		f, err := format.Resolve(format.Choice{Name: name})
		require.NoError(t, err)
		if f.Stream {
			list = append(list, format.Choice{Name: name})
		}
	}
	return append(list, format.Choice{Name: "y4m", Chroma: "420"}, format.Choice{Name: "y4m", Depth: 10}, format.Choice{Name: "bt656", Depth: 10})
}

// motionFrames is a few frames, beyond the period of neither pattern.
const motionFrames = 4

// stream writes frames of a pattern.
func stream(t *testing.T, spec string, r *timing.Raster, c format.Choice) []byte {
	t.Helper()
	j := shot{spec: spec, raster: r, choice: c}.job(t)
	j.Frames = motionFrames
	return file(t, j)
}

// middles returns the middles of the bright parts of a row, in samples, that
// neither end cuts.
func middles(row []uint16) (list []int) {
	half := (slices.Min(row) + slices.Max(row)) / 2
	for i := 0; i < len(row); {
		from := i
		for i < len(row) && row[i] > half {
			i++
		}
		if from > 0 && i > from && i < len(row) {
			list = append(list, from+i-1) // twice the middle
		}
		i++
	}
	return list
}

// TestMotionInStreams: in every stream format and order of rows, bars go on by 6
// samples from each field to the next, and every field carries the number of its
// frame and its own.
func TestMotionInStreams(t *testing.T) {
	names := []string{"480i", "480i-dv", "576i"}
	choices := streamChoices(t)
	if testing.Short() {
		names, choices = names[:2], choices[:2]
	}
	for _, name := range names {
		r := timing.Lookup(name)
		for _, c := range choices {
			where := name + " " + c.Name + " " + c.Chroma
			seen := map[int]int{}
			for k, row := range playFields(t, r, c, stream(t, "moving-bar", r, c)) {
				bars := middles(row.luma)
				if !assert.NotEmpty(t, bars, where) {
					break
				}
				// Upper bars stand with their middle at 359.5, the lower ones have moved.
				moved := (bars[0] - 719) / 2 % 120
				moved = (moved + 120) % 120
				if moved == 0 && row.time > 0 {
					continue
				}
				seen[row.time]++
				if !assert.Equal(t, 6*row.time, moved, "%s: row %d at field time %d", where, k, row.time) {
					break
				}
			}
			for time := range 2 * motionFrames {
				assert.GreaterOrEqual(t, seen[time], 150, "%s: rows that moved, field time %d", where, time)
			}

			read := map[int]int{}
			for _, row := range playFields(t, r, c, stream(t, "count", r, c)) {
				if number, field, ok := blocks(row.luma); ok {
					read[row.time]++
					if !assert.Equal(t, row.time, 2*number+field-1, "%s: the code of field time %d", where, row.time) {
						break
					}
				}
			}
			for time := range 2 * motionFrames {
				assert.GreaterOrEqual(t, read[time], 24, "%s: rows with the code, field time %d", where, time)
			}
		}
	}
}

// blocks reads the code of a row as the note of the pattern tells it: from the
// second sixteenth of the width white, black, ten bits of the frame's number,
// the bit of field 2, even parity. Other rows begin otherwise.
func blocks(row []uint16) (number, field int, ok bool) {
	low, high := slices.Min(row), slices.Max(row)
	bit := func(k int) int {
		x := row[len(row)*(2*k+1)/32]
		if x > (low+high)/2 {
			return 1
		}
		return 0
	}
	if high < 2*low+8 || bit(0) != 0 || bit(1) != 1 || bit(2) != 0 || bit(15) != 0 {
		return 0, 0, false
	}
	parity := bit(14)
	for k := 3; k < 13; k++ {
		number = number<<1 | bit(k)
		parity ^= bit(k)
	}
	return number, 1 + bit(13), parity^bit(13) == 0
}
