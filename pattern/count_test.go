package pattern

import (
	"fmt"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// decodeBlocks reads the code out of a row of luma as its note tells it: from
// the second sixteenth of the width white, black, ten bits, the bit of field 2,
// even parity.
func decodeBlocks(row []float64) (number, field int, err error) {
	bit := func(k int) bool { return row[len(row)*(2*(k+1)+1)/32] > 0.5 }
	if !bit(0) || bit(1) {
		return 0, 0, fmt.Errorf("no beginning")
	}
	set := 0
	for k := 2; k < 12; k++ {
		number <<= 1
		if bit(k) {
			number, set = number|1, set+1
		}
	}
	field = 1
	if bit(12) {
		field, set = 2, set+1
	}
	if bit(13) {
		set++
	}
	if set%2 != 0 {
		return 0, 0, fmt.Errorf("odd parity")
	}
	return number, field, nil
}

// TestCountCode reads every frame back, in every row of the code, by eye of a
// program: the number of the frame and the field of the row, on every raster
// and with every kind of edge.
func TestCountCode(t *testing.T) {
	for _, r := range timing.Rasters() {
		for _, e := range []Edges{Shaped, Hard} {
			v := NewView(r, colorimetry.RGB8, frame.S444, e)
			s, err := (&Count{Frames: 1000}).Scene(v)
			require.NoError(t, err)
			q := patch(t, s, "code")
			for _, n := range []int{0, 1, 2, 511, 512, 682, 999, 1000, 1341} {
				f, err := Sample(s, r, frame.S444, n)
				require.NoError(t, err)
				rows := 0
				for j := range r.Height() {
					if y := r.Span(j).Y; y < q.Y0 || y > q.Y1 {
						continue
					}
					rows++
					number, field, err := decodeBlocks(f.Planes[0].Row(j))
					require.NoError(t, err, "%s frame %d row %d", r.Name, n, j)
					require.Equal(t, n%1000, number, "%s row %d", r.Name, j)
					require.Equal(t, r.Lines[j].Field, field, "%s row %d", r.Name, j)
				}
				require.Greater(t, rows, r.Height()/10)
			}
		}
	}
}

// TestCountFigures: the figures say the same number as the code. Each is read
// cell by cell against shapes written down here.
func TestCountFigures(t *testing.T) {
	shapes := map[string]string{
		"0": ".###.#...##..###.#.###..##...#.###.", "1": "..#...##....#....#....#....#...###.",
		"7": "#####....#...#...#...#....#....#...",
	}
	s, v, at := laid(t, "count until=1000", "480i")
	q := patch(t, s, "number of the frame")
	l := v.sampleGrid()
	read := func(n int) (text string) {
		f := at(n)
		w, h := (q.X1-q.X0)/17, (q.Y1-q.Y0)/7
		for d := range 3 {
			cells := ""
			for line := range 7 {
				row := f.Planes[0].Row(rowNear(v.Shown, q.Y0+(float64(line)+0.5)*h))
				for c := range 5 {
					x := q.X0 + (float64(6*d+c)+0.5)*w
					if row[int((x-l.left(0))/l.dx)] > 0.5 {
						cells += "#"
					} else {
						cells += "."
					}
				}
			}
			for digit, shape := range shapes {
				if shape == cells {
					text += digit
				}
			}
		}
		return text
	}
	for n, want := range map[int]string{0: "000", 7: "007", 17: "017", 101: "101", 770: "770", 1001: "001"} {
		assert.Equal(t, want, read(n))
	}
}

// TestCountFieldNumber: the 1 is lit in rows of field 1 alone, the 2 in those
// of field 2.
func TestCountFieldNumber(t *testing.T) {
	for _, raster := range []string{"480i", "480i-dv", "576i"} {
		s, v, at := laid(t, "count", raster)
		q := patch(t, s, "number of the field")
		half := v.Shown.Width / 2
		for j, l := range v.Shown.Lines {
			if y := v.Shown.Span(j).Y; y < q.Y0 || y > q.Y1 {
				continue
			}
			row := at(3).Planes[0].Row(j)
			lit := func(part []float64) bool {
				for _, x := range part {
					if x > 0.5 {
						return true
					}
				}
				return false
			}
			assert.Equal(t, l.Field == 1, lit(row[:half]), "%s row %d", raster, j)
			assert.Equal(t, l.Field == 2, lit(row[half:]), "%s row %d", raster, j)
		}
	}
	s, _, _ := laid(t, "count", "240p")
	for _, q := range s.Patches {
		assert.NotEqual(t, "number of the field", q.Name, "there are no fields")
	}
}
