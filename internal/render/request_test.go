package render

import (
	"bytes"
	"context"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/format"
	"backporch/pattern"
	"backporch/timing"
)

func request(t testing.TB, spec, raster string, c format.Choice) Request {
	t.Helper()
	p, err := pattern.Parse(spec)
	require.NoError(t, err)
	f, err := format.Resolve(c)
	require.NoError(t, err)
	return Request{Pattern: p, Spec: spec, Raster: timing.Lookup(raster), Aspect: timing.R(4, 3), Format: f, Frames: 1}
}

// writes keeps the sizes of what it is given.
type writes struct {
	sizes []int
	data  bytes.Buffer
	fail  error
}

func (w *writes) Write(p []byte) (int, error) {
	if w.fail != nil {
		return 0, w.fail
	}
	w.sizes = append(w.sizes, len(p))
	return w.data.Write(p)
}

// A frame is one write, whatever the format: the speed into a pipe hangs on it.
func TestOneWriteAFrame(t *testing.T) {
	for _, tt := range []struct {
		c    format.Choice
		want []int
	}{
		{format.Choice{Name: "uyvy"}, []int{691200, 691200, 691200}},
		{format.Choice{Name: "y4m"}, []int{len("YUV4MPEG2 W720 H480 F30000:1001 It A10:11 C422 XCOLORRANGE=LIMITED\n"), 691206, 691206, 691206}},
		{format.Choice{Name: "bt656"}, []int{525 * 1716, 525 * 1716, 525 * 1716}}, // ITU-R BT.656: 1716 words a line
	} {
		q := request(t, "circles", "480i", tt.c)
		q.Frames = 3
		j, err := q.Layout()
		require.NoError(t, err)
		w := &writes{}
		require.NoError(t, j.Write(context.Background(), w))
		assert.Equal(t, tt.want, w.sizes, tt.c.Name)
	}
}

func TestStops(t *testing.T) {
	q := request(t, "ramp", "480i", format.Choice{Name: "uyvy"})
	q.Frames = 100
	ctx, cancel := context.WithCancel(context.Background())
	q.Progress = func(done, total int) {
		assert.Equal(t, 100, total)
		if done == 3 {
			cancel()
		}
	}
	j, err := q.Layout()
	require.NoError(t, err)
	w := &writes{}
	require.ErrorIs(t, j.Write(ctx, w), context.Canceled)
	assert.Len(t, w.sizes, 3)
	require.ErrorIs(t, j.Write(context.Background(), &writes{fail: io.ErrShortWrite}), io.ErrShortWrite)
}

// Setup put into the file: 8-bit black 32, white 235, and chroma by 0.925
// (SMPTE 170M-2004 clause 10: gain 0.925, setup 7.5 IRE).
func TestSetupInFile(t *testing.T) {
	q := request(t, "bars-full set=100/0/100/0", "480i", format.Choice{Name: "i444"})
	q.Plan = colorimetry.Plan{Wire: colorimetry.CompositeM, Player: colorimetry.CompositeJ}
	j, err := q.Layout()
	require.NoError(t, err)
	w := &writes{}
	require.NoError(t, j.Write(context.Background(), w))
	at := func(x, plane int) byte { return w.data.Bytes()[plane*720*480+240*720+x] }
	assert.EqualValues(t, 235, at(20, 0), "white")
	assert.EqualValues(t, 32, at(700, 0), "black")
	// Blue: CB 0.5 x 0.925 x 224 + 128 = 231.6; luma (0.075 + 0.925 x 0.114) x 219 + 16 = 55.52.
	assert.EqualValues(t, 232, at(580, 1))
	assert.EqualValues(t, 56, at(580, 0))
}

// Full-range RGB replaces what it cannot hold and says so; what only the plan
// puts out of reach is an error until it is accepted.
func TestLost(t *testing.T) {
	names := func(l []Lost) (s []string) {
		for _, x := range l {
			s = append(s, x.Patch.Name)
		}
		return s
	}
	q := request(t, "bars-eg1", "480i", format.Choice{Name: "png"})
	j, err := q.Layout()
	require.NoError(t, err)
	assert.Equal(t, []string{"-I", "+Q", "PLUGE below black"}, names(j.Lost))

	q.Plan = colorimetry.Plan{Wire: colorimetry.CompositeM, Player: colorimetry.CompositeJ}
	j, err = q.Layout()
	require.NoError(t, err)
	assert.Equal(t, []string{"-I", "+Q"}, names(j.Lost), "with setup in the file RGB holds the PLUGE")

	q.Plan = colorimetry.Plan{Wire: colorimetry.CompositeJ, Player: colorimetry.CompositeM}
	_, err = q.Layout()
	var reach *RangeError
	require.ErrorAs(t, err, &reach)
	require.NotEmpty(t, reach.Lost)
	assert.Equal(t, 1, strings.Count(reach.Error(), "\n"), "two lines")
	q.Clip = true
	j, err = q.Layout()
	require.NoError(t, err)
	assert.Contains(t, names(j.Lost), "black")
}

// The pixel shape in the file follows the screen: 10/11 at 13.5 MHz and 525
// lines, a third wider on a 16:9 screen.
func TestShape(t *testing.T) {
	for _, tt := range []struct {
		aspect timing.Ratio
		want   string
	}{{timing.R(4, 3), " A10:11 "}, {timing.R(16, 9), " A40:33 "}} {
		q := request(t, "circles", "480i", format.Choice{Name: "y4m"})
		q.Aspect = tt.aspect
		j, err := q.Layout()
		require.NoError(t, err)
		w := &writes{}
		require.NoError(t, j.Write(context.Background(), w))
		assert.Contains(t, string(w.data.Bytes()[:96]), tt.want)
	}
}

func TestErrors(t *testing.T) {
	q := request(t, "ramp", "480i", format.Choice{Name: "png"})
	q.Frames = 2
	_, err := q.Layout()
	assert.EqualError(t, err, "png holds one picture; use a stream format such as y4m for 2 frames")

	q = request(t, "ramp", "576i", format.Choice{Name: "png"})
	q.Plan.Wire = colorimetry.CompositeM
	_, err = q.Layout()
	assert.ErrorContains(t, err, "belongs to 525 lines")
}

// BenchmarkStill is what a stream of a still costs from the second frame on:
// nothing but the write.
func BenchmarkStill(b *testing.B) {
	q := request(b, "circles", "480i", format.Choice{Name: "uyvy"})
	q.Frames = 1000
	j, err := q.Layout()
	require.NoError(b, err)
	b.SetBytes(1000 * 691200)
	b.ReportAllocs()
	for b.Loop() {
		if err := j.Write(context.Background(), io.Discard); err != nil {
			b.Fatal(err)
		}
	}
}
