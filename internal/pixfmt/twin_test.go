package pixfmt

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/require"
)

// The slow twins: each layout sample by sample, written from the words of the
// kernel's pixel-format documents (pixfmt-packed-yuv, pixfmt-yuv-planar,
// pixfmt-rgb), and for v210 from a description on an open wiki (secondary).
// They ask for a code at a place and know nothing of rows.

// at returns the code of component c at luma place x, y.
type at func(c, x, y int) uint16

func twin(t *testing.T, name string, w, h int, v at) (b []byte) {
	t.Helper()
	word := func(n uint16) { b = append(b, byte(n), byte(n>>8)) }
	plane := func(c, across, down, bytes int) {
		for y := 0; y < h; y += down {
			for x := 0; x < w; x += across {
				b = append(b, byte(v(c, x, y)))
				if bytes == 2 {
					b = append(b, byte(v(c, x, y)>>8))
				}
			}
		}
	}
	planes := func(across, down, bytes int) {
		plane(0, 1, 1, bytes)
		plane(1, across, down, bytes)
		plane(2, across, down, bytes)
	}
	switch name {
	case "uyvy", "yuyv":
		for y := range h {
			for x := range w {
				color := byte(v(1+x%2, x/2*2, y)) // Cb with even samples, Cr with odd
				if name == "uyvy" {
					b = append(b, color, byte(v(0, x, y)))
				} else {
					b = append(b, byte(v(0, x, y)), color)
				}
			}
		}
	case "v210":
		for y := range h {
			var s []uint16 // Cb Y Cr Y ...
			for x := 0; x < w; x += 2 {
				s = append(s, v(1, x, y), v(0, x, y), v(2, x, y), v(0, x+1, y))
			}
			start := len(b)
			s = append(s, make([]uint16, (3-len(s)%3)%3)...)
			for i := 0; i < len(s); i += 3 {
				n := uint32(s[i]) + uint32(s[i+1])*1024 + uint32(s[i+2])*1024*1024
				b = append(b, byte(n), byte(n>>8), byte(n>>16), byte(n>>24))
			}
			for (len(b)-start)%128 != 0 {
				b = append(b, 0)
			}
		}
	case "i420":
		planes(2, 2, 1)
	case "i411":
		planes(4, 1, 1)
	case "i422":
		planes(2, 1, 1)
	case "i444":
		planes(1, 1, 1)
	case "yuv420p10":
		planes(2, 2, 2)
	case "yuv422p10":
		planes(2, 1, 2)
	case "yuv444p10":
		planes(1, 1, 2)
	case "nv12":
		plane(0, 1, 1, 1)
		for y := 0; y < h; y += 2 {
			for x := 0; x < w; x += 2 {
				b = append(b, byte(v(1, x, y)), byte(v(2, x, y)))
			}
		}
	case "rgb24", "rgb565", "rgb555":
		for y := range h {
			for x := range w {
				red, green, blue := v(0, x, y), v(1, x, y), v(2, x, y)
				switch name {
				case "rgb24":
					b = append(b, byte(red), byte(green), byte(blue))
				case "rgb565":
					word(red*2048 + green*32 + blue)
				case "rgb555":
					word(red*1024 + green*32 + blue)
				}
			}
		}
	default:
		t.Fatalf("no twin for %s", name)
	}
	return b
}

// same fails at the first difference; testify would print both pictures whole.
func same[T byte | uint16](t *testing.T, want, got []T, format string, args ...any) {
	t.Helper()
	what := fmt.Sprintf(format, args...)
	require.Len(t, got, len(want), what)
	for i, v := range want {
		if got[i] != v {
			require.FailNow(t, fmt.Sprintf("%s: element %d is %#x, want %#x", what, i, got[i], v))
		}
	}
}

// codingOf returns a coding that a layout can hold.
func codingOf(l *Layout) *colorimetry.Coding {
	if l.Model == colorimetry.YCbCr {
		return map[int]*colorimetry.Coding{8: colorimetry.YCbCr8, 10: colorimetry.YCbCr10}[l.Bits]
	}
	return map[int]*colorimetry.Coding{8: colorimetry.RGB8, 6: colorimetry.RGB565, 5: colorimetry.RGB555}[l.Bits]
}

// randomFrame returns a frame with fewer rows than lines, shown in no order,
// its levels reaching beyond black and white.
func randomFrame(rnd *rand.Rand, w, h int, m frame.Sampling) *frame.Frame {
	across, down := m.Step()
	f := &frame.Frame{Sampling: m, Raster: &timing.Raster{Name: "test", Width: w, Lines: make([]timing.Line, h)}}
	for c := range f.Planes {
		pw, ph, zero := w, h, 0.0
		if c > 0 {
			pw, ph, zero = w/across, h/down, 0.5
		}
		rows := make([][]float64, 1+ph/3)
		for i := range rows {
			rows[i] = make([]float64, pw)
			for x := range rows[i] {
				rows[i][x] = rnd.Float64()*1.2 - 0.1 - zero
			}
		}
		lines := make([]int32, ph)
		for j := range lines {
			lines[j] = int32(rnd.IntN(len(rows)))
		}
		f.Planes[c] = frame.Plane{Rows: rows, Lines: lines}
	}
	return f
}

// sampleAt returns the codes of a frame, one sample at a time.
func sampleAt(f *frame.Frame, k *colorimetry.Coding) at {
	across, down := f.Sampling.Step()
	return func(c, x, y int) uint16 {
		return k.Codes(colorimetry.Signal{
			Y:  f.Planes[0].Row(y)[x],
			CB: f.Planes[1].Row(y / down)[x/across],
			CR: f.Planes[2].Row(y / down)[x/across],
		})[c]
	}
}

func samplingOf(t *testing.T, l *Layout) frame.Sampling {
	for _, m := range []frame.Sampling{frame.S444, frame.S422, frame.S411, frame.S420} {
		if l.fits(m) {
			return m
		}
	}
	require.Fail(t, "no sampling for "+l.Name)
	return 0
}
