package ffmpeg

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestProbe: what was asked of the encoder is read back.
func TestProbe(t *testing.T) {
	ctx := context.Background()
	tool, err := Find(ctx)
	if err != nil {
		t.Skip(err)
	}
	path := filepath.Join(t.TempDir(), "-a.mkv") // a name that looks like an option
	frames := bytes.Repeat([]byte{128}, 3*64*48*2)
	require.NoError(t, tool.Run(ctx, bytes.NewReader(frames), nil,
		"-f", "rawvideo", "-pix_fmt", "yuv422p", "-s", "64x48", "-r", "30000/1001", "-i", "pipe:0",
		"-vf", "setsar=10/11,setparams=field_mode=bff:range=tv:colorspace=smpte170m:color_primaries=smpte170m:color_trc=smpte170m",
		"-c:v", "ffv1", "file:"+path))
	p, err := tool.Probe(ctx, path)
	require.NoError(t, err)
	assert.Equal(t, "matroska,webm", p.Format)
	assert.InDelta(t, 0.1, p.Duration, 0.01)
	require.NotNil(t, p.Video)
	assert.Nil(t, p.Audio)
	v := *p.Video
	assert.Equal(t, []any{"ffv1", 64, 48, "yuv422p", "10:11", "tv", "smpte170m", "30000/1001"},
		[]any{v.Codec, v.Width, v.Height, v.Pixels, v.SampleAspect, v.Range, v.Matrix, v.Rate})

	bad := filepath.Join(t.TempDir(), "no.mkv")
	require.NoError(t, os.WriteFile(bad, []byte("no film"), 0o600))
	_, err = tool.Probe(ctx, bad)
	assert.ErrorContains(t, err, "Invalid data")
}

func TestParseProbe(t *testing.T) {
	p, err := parseProbe([]byte(`{"format":{"format_name":"mpeg","duration":"N/A"},
		"streams":[{"codec_type":"audio","codec_name":"ac3","sample_rate":"48000","channels":2},
		{"codec_type":"video","codec_name":"mpeg2video","nb_frames":"300","field_order":"tt"}]}`))
	require.NoError(t, err)
	assert.Equal(t, &Audio{Codec: "ac3", Rate: 48000, Channels: 2}, p.Audio)
	assert.Equal(t, 300, p.Video.Frames)
	assert.Equal(t, "tt", p.Video.FieldOrder)
	assert.Zero(t, p.Duration)
	_, err = parseProbe([]byte(`{"streams":[]}`))
	assert.EqualError(t, err, "there is neither picture nor sound in it")
	_, err = parseProbe([]byte(`{`))
	assert.Error(t, err)
}
