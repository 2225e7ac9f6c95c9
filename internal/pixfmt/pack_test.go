package pixfmt

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every layout at widths that fill neither a word nor a group, against its slow
// twin: by frame, by codes, and read back. One packer does them all, so scratch
// of one size must not show in the next.
func TestLayouts(t *testing.T) {
	sizes := [][2]int{{720, 6}, {2, 2}, {4, 2}, {6, 4}, {8, 2}, {46, 2}, {48, 4}, {50, 2}, {256, 4}, {702, 2}}
	for _, l := range Layouts() {
		t.Run(l.Name, func(t *testing.T) {
			var p Packer
			rnd := rand.New(rand.NewPCG(1, 2))
			k := codingOf(l)
			for _, s := range sizes {
				w, h := s[0], s[1]
				if w%l.Across != 0 {
					continue
				}
				f := randomFrame(rnd, w, h, samplingOf(t, l))
				want := twin(t, l.Name, w, h, sampleAt(f, k))
				require.Equal(t, len(want), l.Size(w, h), "%d x %d", w, h)
				same(t, want, p.Append(nil, l, k, f), "%d x %d", w, h)

				codes := Round(f, k)
				same(t, want, l.AppendCodes(nil, codes), "%d x %d, from codes", w, h)
				got, err := l.Unpack(want, w, h)
				require.NoError(t, err)
				require.Equal(t, [4]int{w, h, l.Across, l.Down}, [4]int{got.Width, got.Height, got.Across, got.Down})
				for c := range codes.Planes {
					same(t, codes.Planes[c], got.Planes[c], "%d x %d, plane %d read back", w, h, c)
				}
			}
		})
	}
}

// Odd widths have a place only where chroma is not shared.
func TestOddSizes(t *testing.T) {
	for _, l := range Layouts() {
		_, err := l.Unpack(make([]byte, l.Size(7, 3)), 7, 3)
		if l.Across == 1 {
			require.NoError(t, err, l.Name)
			f := randomFrame(rand.New(rand.NewPCG(3, 4)), 7, 3, frame.S444)
			k := codingOf(l)
			same(t, twin(t, l.Name, 7, 3, sampleAt(f, k)), new(Packer).Append(nil, l, k, f), "%s", l.Name)
			continue
		}
		assert.ErrorContains(t, err, "unsupported: "+l.Name+" of 7 x 3 samples", l.Name)
	}
}

// Sizes of a 720-sample line by the layouts' own documents; 1920 bytes for v210
// by an open wiki (secondary).
func TestSize(t *testing.T) {
	for name, want := range map[string]int{
		"uyvy": 1440, "yuyv": 1440, "v210": 1920, "i411": 1080, "i422": 1440, "i444": 2160,
		"yuv422p10": 2880, "yuv444p10": 4320, "rgb24": 2160, "rgb565": 1440, "rgb555": 1440,
	} {
		assert.Equal(t, want, Lookup(name).Size(720, 1), name)
	}
	for name, want := range map[string]int{"i420": 1080, "nv12": 1080, "yuv420p10": 2160} {
		assert.Equal(t, 2*want, Lookup(name).Size(720, 2), name)
	}
	assert.Nil(t, Lookup("no such layout"))
	assert.Nil(t, Planar(12, 1, 1))
	assert.Equal(t, "i420", Planar(8, 2, 2).Name)
	assert.Equal(t, "i411", Planar(8, 4, 1).Name)
	assert.Nil(t, Planar(10, 4, 1))
}

// Append keeps what is there already, and writes nothing behind.
func TestAppendKeeps(t *testing.T) {
	f := randomFrame(rand.New(rand.NewPCG(5, 6)), 12, 4, frame.S422)
	l := Lookup("uyvy")
	n := l.Size(12, 4)
	store := make([]byte, 3+n+1)
	copy(store, "abc")
	store[3+n] = 'z'
	got := new(Packer).Append(store[:3], l, colorimetry.YCbCr8, f)
	assert.Equal(t, "abc", string(got[:3]))
	assert.Same(t, &store[0], &got[0], "there was room, but it moved")
	assert.Equal(t, byte('z'), store[3+n])
	assert.Len(t, got, 3+n)
}

func TestPackerAllocatesOnce(t *testing.T) {
	for _, l := range Layouts() {
		var p Packer
		k, f := codingOf(l), randomFrame(rand.New(rand.NewPCG(7, 8)), 720, 96, samplingOf(t, l))
		buf := p.Append(nil, l, k, f)
		assert.Zero(t, testing.AllocsPerRun(5, func() { buf = p.Append(buf[:0], l, k, f) }), l.Name)
	}
}

// 4:2:0 of DV lies in memory as every other 4:2:0.
func TestDVInI420(t *testing.T) {
	f := randomFrame(rand.New(rand.NewPCG(11, 12)), 16, 8, frame.S420DV)
	l, k := Lookup("i420"), colorimetry.YCbCr8
	want := twin(t, "i420", 16, 8, sampleAt(f, k))
	same(t, want, new(Packer).Append(nil, l, k, f), "4:2:0 of DV")
	same(t, want, l.AppendCodes(nil, Round(f, k)), "4:2:0 of DV, from codes")
}

func TestPackerPanics(t *testing.T) {
	f := randomFrame(rand.New(rand.NewPCG(9, 9)), 8, 2, frame.S422)
	for _, tt := range []struct {
		layout string
		k      *colorimetry.Coding
	}{{"i444", colorimetry.YCbCr8}, {"uyvy", colorimetry.YCbCr10}, {"uyvy", colorimetry.RGB8}, {"i420", colorimetry.YCbCr8}} {
		assert.Panics(t, func() { new(Packer).Append(nil, Lookup(tt.layout), tt.k, f) }, "%s in %s", tt.layout, tt.k.Name)
	}
	assert.Panics(t, func() { RoundRGB(f, colorimetry.RGB8) }, "4:2:2 has no R'G'B' at its odd samples")
	assert.Panics(t, func() { Lookup("i444").AppendCodes(nil, NewCodes(4, 2, 2, 1)) })
	assert.Panics(t, func() { NewCodes(3, 2, 2, 1) })
}

func TestUnpackRefuses(t *testing.T) {
	for _, tt := range []struct {
		layout string
		bytes  int
		w, h   int
		want   string
	}{
		{"uyvy", 15, 4, 2, "invalid picture: 15 bytes; a uyvy picture of 4 x 2 samples has 16"},
		{"uyvy", 17, 4, 2, "17 bytes"},
		{"uyvy", 0, 4, 2, "0 bytes"},
		{"v210", 127, 2, 1, "a v210 picture of 2 x 1 samples has 128"},
		{"uyvy", 0, 0, 2, "a picture of 0 x 2 samples; each side must be 1 to 32768"},
		{"uyvy", 0, 4, -2, "4 x -2"},
		{"uyvy", 0, 1 << 40, 2, "each side must be"},
		{"i420", 0, 4, 3, "width must be a multiple of 2 and height of 2"},
		{"i411", 0, 6, 3, "i411 of 6 x 3 samples; width must be a multiple of 4 and height of 1"},
	} {
		_, err := Lookup(tt.layout).Unpack(make([]byte, tt.bytes), tt.w, tt.h)
		assert.ErrorContains(t, err, tt.want, "%s, %d bytes, %d x %d", tt.layout, tt.bytes, tt.w, tt.h)
	}
	// A 10-bit code in the upper bits of its word, as P010 has it (memory).
	src := make([]byte, Lookup("yuv422p10").Size(4, 1))
	src[5] = 64 << 6 >> 8 // row 0, sample 2 of Y
	_, err := Lookup("yuv422p10").Unpack(src, 4, 1)
	assert.ErrorContains(t, err, "plane 0, row 0, sample 2 holds 4096, more than 10 bits")
}

// FuzzUnpack: bytes are refused, or are a picture that packs to bytes of the
// same picture; only bits that a layout does not use may differ.
func FuzzUnpack(f *testing.F) {
	for i, l := range Layouts() {
		f.Add(i, 6, 2, make([]byte, l.Size(6, 2)))
		f.Add(i, 8, 2, make([]byte, l.Size(8, 2)))
	}
	f.Add(2, 50, 2, make([]byte, 512))
	f.Fuzz(func(t *testing.T, which, w, h int, src []byte) {
		l := layouts[uint(which)%uint(len(layouts))]
		c, err := l.Unpack(src, w, h)
		if err != nil {
			return
		}
		packed := l.AppendCodes(nil, c)
		if len(packed) != len(src) {
			t.Fatalf("%s: %d bytes packed from %d", l.Name, len(packed), len(src))
		}
		again, err := l.Unpack(packed, w, h)
		if err != nil {
			t.Fatalf("%s: refuses what it packed: %v", l.Name, err)
		}
		require.Equal(t, c, again)
		if l.Name != "v210" && l.Name != "rgb555" { // these two have unused bits
			require.Equal(t, src, packed)
		}
	})
}

func BenchmarkPack(b *testing.B) {
	rnd := rand.New(rand.NewPCG(1, 2))
	for _, l := range Layouts() {
		m := frame.S444
		for _, s := range []frame.Sampling{frame.S422, frame.S411, frame.S420} {
			if l.fits(s) {
				m = s
			}
		}
		b.Run(fmt.Sprintf("%s/720x480", l.Name), func(b *testing.B) {
			// A third of the rows differ, in all components: a hard case.
			f, k := randomFrame(rnd, 720, 480, m), codingOf(l)
			if l.Down == 1 {
				f.Planes[1].Lines, f.Planes[2].Lines = f.Planes[0].Lines, f.Planes[0].Lines
			}
			var p Packer
			buf := p.Append(nil, l, k, f)
			b.SetBytes(int64(len(buf)))
			b.ReportAllocs()
			for b.Loop() {
				buf = p.Append(buf[:0], l, k, f)
			}
		})
	}
}
