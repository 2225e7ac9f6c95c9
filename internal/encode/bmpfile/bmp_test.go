package bmpfile

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"os/exec"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/oracle"
	"backporch/internal/pixfmt"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func sampled(t *testing.T, spec string, r *timing.Raster, k *colorimetry.Coding) *frame.Frame {
	t.Helper()
	p, err := pattern.Parse(spec)
	require.NoError(t, err)
	s, err := p.Scene(pattern.NewView(r, k, frame.S444, pattern.Shaped))
	require.NoError(t, err)
	f, err := pattern.Sample(s, r, frame.S444, 0)
	require.NoError(t, err)
	return f
}

// narrow returns a raster whose rows are no multiple of four bytes.
func narrow() *timing.Raster {
	r := *timing.Lookup("240p")
	r.Width, r.Name = 701, "701 samples"
	return &r
}

// netpbm finds the rounded definition in the file, with a palette and without.
func TestEncode(t *testing.T) {
	path := oracle.Need(t, "bmptopnm")
	for _, tt := range []struct {
		name string
		f    *frame.Frame
		k    *colorimetry.Coding
		bits int // of a pixel: BITMAPINFOHEADER biBitCount, offset 28 (memory)
	}{
		{"bars", sampled(t, "bars-full", timing.Lookup("480i"), colorimetry.RGB8), colorimetry.RGB8, 8},
		{"studio range", sampled(t, "bars-full", timing.Lookup("240p"), colorimetry.RGB8Studio), colorimetry.RGB8Studio, 8},
		{"many colors", sampled(t, "bars-rp219", timing.Lookup("480i"), colorimetry.RGB8), colorimetry.RGB8, 24},
		{"padded rows with palette", sampled(t, "bars-full", narrow(), colorimetry.RGB8), colorimetry.RGB8, 8},
		{"padded rows of many colors", sampled(t, "bars-rp219", narrow(), colorimetry.RGB8), colorimetry.RGB8, 24},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var b bytes.Buffer
			require.NoError(t, Encode(&b, tt.f, tt.k))
			assert.Equal(t, tt.bits, int(binary.LittleEndian.Uint16(b.Bytes()[28:])))
			if tt.bits == 8 {
				for i := range 256 {
					require.Zero(t, b.Bytes()[54+4*i+3], "reserved byte of entry %d", i)
				}
			}
			cmd := exec.CommandContext(t.Context(), path, "-quiet")
			cmd.Stdin = bytes.NewReader(b.Bytes())
			out, err := cmd.Output()
			require.NoError(t, err)
			want := pixfmt.Round(tt.f, tt.k)
			head := fmt.Sprintf("P6\n%d %d\n255\n", want.Width, want.Height)
			require.True(t, bytes.HasPrefix(out, []byte(head)), "%.20q", out)
			got := out[len(head):]
			require.Len(t, got, 3*len(want.Planes[0]))
			for i := range want.Planes[0] {
				for c := range want.Planes {
					if uint16(got[3*i+c]) != want.Planes[c][i] {
						require.Fail(t, fmt.Sprintf("sample %d, component %d is %d, want %d", i, c, got[3*i+c], want.Planes[c][i]))
					}
				}
			}
		})
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left") }

func TestErrors(t *testing.T) {
	f := sampled(t, "bars-full", timing.Lookup("240p"), colorimetry.RGB8)
	assert.ErrorContains(t, Encode(full{}, f, colorimetry.RGB8), "no space left")
	assert.Panics(t, func() { _ = Encode(new(bytes.Buffer), f, colorimetry.RGB16) })
	assert.Panics(t, func() { _ = Encode(new(bytes.Buffer), f, colorimetry.YCbCr8) })
}
