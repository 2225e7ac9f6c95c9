package deliver

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/device"
	"backporch/internal/ffmpeg"
	"backporch/internal/render"
	"backporch/internal/tone"
	"backporch/timing"
)

// TestRasters: what a target cannot hold is refused with the way out.
func TestRasters(t *testing.T) {
	for _, tt := range []struct{ target, raster, want, err string }{
		{"mpeg2-dvd", "480i", "480i", ""},
		{"dv", "480i", "480i-dv", ""},
		{"dv", "576i", "576i-dv", ""},
		{"h264-mp4", "288p", "288p", ""},
		{"mpeg2-dvd", "240p", "", "target mpeg2-dvd cannot have raster 240p: DVD-Video has 480 or 576 interlaced rows; smaller pictures are played as interlaced ones all the same; use target h264-mp4 for 240 lines that are not interlaced"},
		{"mpeg2-dvd", "486i", "", "target mpeg2-dvd cannot have raster 486i: 486 rows are those of the studio, and of them 243 a field cannot be paired for 4:2:0; use --raster 480i"},
		{"h264-mp4", "486i", "", "use --raster 480i"},
		{"dv", "288p-313", "", "target dv cannot have raster 288p-313: DV has 480 or 576 interlaced rows; use target h264-mp4 for 288 lines that are not interlaced"},
		{"dv", "480i-cea", "", "target dv cannot have raster 480i-cea: its files hold 480i-dv, 576i-dv; use --raster 480i-dv"},
	} {
		r, err := Lookup(tt.target).Raster(timing.Lookup(tt.raster))
		if tt.err != "" {
			assert.ErrorContains(t, err, tt.err)
			continue
		}
		require.NoError(t, err)
		assert.Equal(t, tt.want, r.Name)
	}
}

// TestTable: names and what they lean on are there.
func TestTable(t *testing.T) {
	for _, x := range Targets() {
		assert.Equal(t, x.Name, Lookup(strings.ToUpper(x.Name)).Name)
		for _, name := range x.Rasters {
			r := timing.Lookup(name)
			require.NotNil(t, r, name)
			for _, depth := range x.Depths {
				q := request(t, x.Name, name, "flat", 1)
				q.Depth = depth
				j, err := q.Layout()
				require.NoError(t, err, "%s %s", x.Name, name)
				assert.NotEmpty(t, j.pixels())
				assert.Same(t, r, j.Raster)
			}
		}
	}
	_, err := Find("h264-mp5")
	assert.ErrorContains(t, err, `unknown target "h264-mp5" (did you mean h264-mp4?); use one of: mpeg2-dvd h264-mp4 ffv1-mkv v210-mov dv`)
}

// TestLength: a still has the frames that are asked for, what moves whole
// periods, unless they are far longer.
func TestLength(t *testing.T) {
	assert.Equal(t, 300, laidOut(t, "h264-mp4", "480i", "bars-eg1", 300).Frames)
	j := laidOut(t, "h264-mp4", "480i", "moving-bar fields=16", 300) // 8 frames
	assert.Equal(t, 304, j.Frames)
	require.Len(t, j.Notes, 1)
	assert.Equal(t, "the file lasts 304 frames, 10.143 s, so that what moves ends where it began", j.Notes[0])
	assert.Equal(t, 1, laidOut(t, "h264-mp4", "480i", "bars-eg1", 0).Frames)
}

func TestLayoutRefuses(t *testing.T) {
	q := request(t, "v210-mov", "480i", "flat", 1)
	q.Depth = 8
	_, err := q.Layout()
	assert.EqualError(t, err, "target v210-mov cannot have depth 8; it has 10")
	q = request(t, "dv", "480i", "flat", 1)
	q.Audio = "loud"
	_, err = q.Layout()
	assert.ErrorContains(t, err, `audio "loud" is none of none, silent and tone`)
	q = request(t, "h264-mp4", "480i", "flat", 1)
	q.Picture.Device, err = device.Parse("pixel-256")
	require.NoError(t, err)
	_, err = q.Layout()
	assert.ErrorContains(t, err, "plays no video files")
	q = request(t, "dv", "480i", "bars-eg1", 1)
	j, err := q.Layout()
	require.NoError(t, err)
	assert.Equal(t, "the picture is laid out on raster 480i-dv, which dv has, not on 480i: another crop of the same lines, bottom field first", j.Notes[0])
}

// TestFlags: what files say derives from the raster.
func TestFlags(t *testing.T) {
	for _, tt := range []struct{ raster, mode, top, primaries, transfer, matrix string }{
		{"480i", "tff", "1", "smpte170m", "smpte170m", "smpte170m"},
		{"480i-dv", "bff", "0", "smpte170m", "smpte170m", "smpte170m"},
		{"486i", "bff", "0", "smpte170m", "smpte170m", "smpte170m"},
		{"576i", "tff", "1", "bt470bg", "smpte170m", "bt470bg"},
		{"576i-dv", "bff", "0", "bt470bg", "smpte170m", "bt470bg"},
		{"240p", "prog", "", "smpte170m", "smpte170m", "smpte170m"},
		{"288p", "prog", "", "bt470bg", "smpte170m", "bt470bg"},
	} {
		f := flags(timing.Lookup(tt.raster))
		assert.Equal(t, [5]string{tt.mode, tt.top, tt.primaries, tt.transfer, tt.matrix}, [5]string{f.mode, f.top, f.primaries, f.transfer, f.matrix}, tt.raster)
	}
	// DVD-Video: groups of at most 18 frames of 525 lines and 15 of 625 (secondary).
	assert.LessOrEqual(t, gop(timing.Lookup("480i")), 18)
	assert.LessOrEqual(t, gop(timing.Lookup("576i")), 15)
}

// TestBuffer: pictures of 0.3 Mbit at 25 a second are 7.5 Mbit/s; twenty of 0.5
// Mbit, 12.5 Mbit/s, fill the buffer of DVD by 0.108 Mbit each beyond the 9.8
// Mbit/s that go in: 0.5 + 19 x 0.108 = 2.552 Mbit, more than 1.835. 250 of 0.394
// Mbit are 9.85 Mbit/s and fill 0.394 + 249 x 0.002 = 0.892 Mbit, which a single
// second of them may.
func TestBuffer(t *testing.T) {
	j := laidOut(t, "mpeg2-dvd", "576i", "flat", 250)
	packets := func(bits float64, n int) (list []ffmpeg.Packet) {
		for i := range n {
			list = append(list, ffmpeg.Packet{Size: int(bits / 8), Key: i%12 == 0})
		}
		return list
	}
	p := &Proof{}
	j.groups(p, packets(300_000, 250))
	assert.Empty(t, p.Failed())
	assert.Equal(t, Check{"bit rate", "at most 9.80 Mbit/s", "7.50 Mbit/s", true, ""}, p.Rows[1])
	p = &Proof{}
	j.groups(p, append(packets(500_000, 20), packets(100_000, 230)...))
	assert.Equal(t, []string{"buffer"}, p.Failed())
	assert.Equal(t, "2.552 Mbit", p.Rows[2].Got)
	p = &Proof{}
	j.groups(p, packets(394_000, 250))
	assert.Equal(t, []string{"bit rate"}, p.Failed())
	assert.Equal(t, "0.892 Mbit", p.Rows[2].Got)
	j = laidOut(t, "mpeg2-dvd", "576i", "flat", 25)
	p = &Proof{}
	j.groups(p, packets(394_000, 25))
	assert.Empty(t, p.Failed())
	p = &Proof{}
	j.groups(p, packets(500_000, 25))
	assert.Equal(t, []string{"buffer"}, p.Failed(), "a short file must fit it too")
}

// TestSound: silence is as long as the picture; the tone is at the line-up
// level of the system, -20 dBFS of SMPTE RP 155 or -18 of EBU R 68 (memory).
func TestSound(t *testing.T) {
	for raster, level := range map[string]float64{"480i": -20, "576i": -18} {
		j := laidOut(t, "h264-mp4", raster, "flat", 300)
		l := j.line()
		assert.InDelta(t, level, l.Level, 0)
		assert.InDelta(t, 300/j.Raster.FrameRate().Float64()*soundRate, float64(l.Samples), 0.5)
		var square float64
		x := l.Append(nil, 0, 0, soundRate)
		for _, v := range x {
			square += float64(v) * float64(v)
		}
		// A full-scale sine has 32767/sqrt(2) rms.
		rms := math.Sqrt(square / soundRate)
		assert.InDelta(t, level, 20*math.Log10(rms*math.Sqrt2/float64(l.FullScale())), 0.01)
		assert.InDelta(t, tone.Frequency, 1000, 0)
	}
}

// TestClip: levels out of reach are an error until they are accepted.
func TestClip(t *testing.T) {
	q := request(t, "h264-mp4", "480i", "bars-eg1", 1)
	q.Picture.Plan.Wire, q.Picture.Plan.Player = colorimetry.CompositeJ, colorimetry.CompositeM
	_, err := q.Layout()
	var reach *render.RangeError
	require.ErrorAs(t, err, &reach)
	q.Picture.Clip = true
	j, err := q.Layout()
	require.NoError(t, err)
	assert.NotEmpty(t, j.Lost.Clipped(true))
}
