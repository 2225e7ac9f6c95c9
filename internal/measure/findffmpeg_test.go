package measure

import (
	"bytes"
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/ffmpeg"
	"backporch/internal/oracle"
	"backporch/timing"
)

// codes8 and picture8 turn a picture into planes of 8 bits and back: black 16,
// white 235, CB and CR 16 to 240 (ITU-R BT.601-5 clauses 3.5.3 and 3.5.4).
func codes8(p *Picture) []byte {
	var b []byte
	for c, plane := range p.Planes {
		offset, range8 := 16.0, 219.0
		if c > 0 {
			offset, range8 = 128, 224
		}
		for _, v := range plane {
			b = append(b, byte(min(max(math.Floor(offset+range8*float64(v)+0.5), 1), 254)))
		}
	}
	return b
}

func picture8(b []byte, w, h int) *Picture {
	p := &Picture{Width: w, Height: h, Across: 1, Down: 1, Frames: 1, Fields: true}
	for c := range p.Planes {
		offset, range8 := 16.0, 219.0
		if c > 0 {
			offset, range8 = 128, 224
		}
		for _, v := range b[c*w*h : (c+1)*w*h] {
			p.Planes[c] = append(p.Planes[c], float32((float64(v)-offset)/range8))
		}
	}
	return p
}

// TestFindConverted: pictures that a general converter scaled, cropped and put
// into black, by filters of its own, are found where it put them. Sample i of a
// picture scaled from n to m samples lies at (i+1/2)n/m-1/2 (centers of samples,
// common practice).
func TestFindConverted(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	oracle.Need(t, "ffmpeg")
	tool, err := ffmpeg.Find(context.Background())
	require.NoError(t, err)
	scale := func(n, m int) (u0, du float64) {
		d := float64(n) / float64(m)
		return (d - 1) / 2, d
	}
	at := func(w, h, w2, h2, left, top int) lattice { // scaled, then cut off left and top; negative: black put there
		u, du := scale(w, w2)
		v, dv := scale(h, h2)
		return lattice{u + du*float64(left), du, v + dv*float64(top), dv}
	}
	tests := []struct {
		name, filter string
		w, h         int
		lattice
	}{
		{"704 of 720", "crop=704:480:8:0", 704, 480, at(720, 480, 720, 480, 8, 0)},
		{"square samples", "scale=640:480:flags=bicubic", 640, 480, at(720, 480, 640, 480, 0, 0)},
		{"wide screen with pillars", "scale=1440:1080:flags=bicubic,pad=1920:1080:240:0:black", 1920, 1080, at(720, 480, 1440, 1080, -240, 0)},
		{"lanczos 1440", "scale=1440:1080:flags=lanczos", 1440, 1080, at(720, 480, 1440, 1080, 0, 0)},
		{"zoomed", "scale=864:576:flags=bicubic,crop=720:480:61:40", 720, 480, at(720, 480, 864, 576, 61, 40)},
		{"shrunk", "scale=612:408:flags=bicubic,pad=720:480:50:36:black", 720, 480, at(720, 480, 612, 408, -50, -36)},
		{"576 rows", "scale=768:576:flags=bilinear", 768, 576, at(720, 480, 768, 576, 0, 0)},
		{"486 rows", "pad=720:486:0:4:black", 720, 486, at(720, 480, 720, 480, 0, -4)},
		{"noise and levels", "crop=700:470:12:6,lutyuv=y='16+0.8*(val-16)+10',noise=alls=8:all_seed=3", 700, 470, at(720, 480, 720, 480, 12, 6)},
	}
	patterns := []string{"circles", "focus-field", "crosshatch", "vectors", "bars-rp219", "count", "tv-lines", "safe-area"}
	for _, tt := range tests {
		var list []found
		for _, name := range patterns {
			scene, v, p := sampled(t, name, "480i", 0)
			var out bytes.Buffer
			err := tool.Run(context.Background(), bytes.NewReader(codes8(p)), &out,
				"-f", "rawvideo", "-pix_fmt", "yuv444p", "-s", "720x480", "-i", "pipe:0", "-vf", tt.filter, "-f", "rawvideo", "-pix_fmt", "yuv444p", "pipe:1")
			require.NoError(t, err)
			require.Equal(t, 3*tt.w*tt.h, out.Len(), tt.name)
			r := timing.Lookup("480i")
			f := found{shot: shot{spec: name, raster: "480i", w: tt.w, h: tt.h, lattice: tt.lattice}, truth: tt.lattice.place(r)}
			f.at = Find(picture8(out.Bytes(), tt.w, tt.h), scene, v, r)
			f.x, f.y = wrong(f.at, f.truth, r)
			// A sample of the raster may be several of the capture.
			f.x, f.y = f.x*min(1, tt.DU), f.y*min(1, tt.DV)
			list = append(list, f)
			assert.True(t, f.at.XKnown && f.at.YKnown, "%s: %v", tt.name, f)
			assert.Less(t, f.x, 0.3, "%s: %v", tt.name, f)
			assert.Less(t, f.y, 0.4, "%s: %v", tt.name, f)
		}
		spread(t, tt.name, list)
	}
}

// TestFindDoubled: 240 lines captured with each row twice.
func TestFindDoubled(t *testing.T) {
	scene, v, p := sampled(t, "circles", "240p", 0)
	d := &Picture{Width: p.Width, Height: 2 * p.Height, Across: 1, Down: 1, Frames: 1}
	for c := range p.Planes {
		for j := range d.Height {
			d.Planes[c] = append(d.Planes[c], p.Planes[c][j/2*p.Width:(j/2+1)*p.Width]...)
		}
	}
	r := timing.Lookup("240p")
	at := Find(d, scene, v, r)
	// Rows 2k and 2k+1 show row k: row j lies at j/2 - 1/4.
	x, y := wrong(at, lattice{0, 1, -0.25, 0.5}.place(r), r)
	assert.Less(t, x, 0.2)
	assert.Less(t, y, 0.4)
	assert.Greater(t, at.Sure, 0.9)
}
