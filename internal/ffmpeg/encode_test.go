package ffmpeg

import (
	"bytes"
	"errors"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestReports: progress comes in pieces, and only its frames are of interest.
func TestReports(t *testing.T) {
	var got []int
	r := &reports{to: func(n int) { got = append(got, n) }}
	for _, s := range []string{"frame=1\nfps=0.0\nfra", "me=  25\nout_time=00:00:01.0\nframe=x\n", "frame=30"} {
		n, err := r.Write([]byte(s))
		require.NoError(t, err)
		assert.Equal(t, len(s), n)
	}
	assert.Equal(t, []int{1, 25}, got)
}

func TestParseFrames(t *testing.T) {
	frames, packets := parseFrames([]byte("packet|pts_time=0.06|dts_time=0.03|size=120|flags=K__\n" +
		"frame|pict_type=I|interlaced_frame=1|top_field_first=0|repeat_pict=0\n" +
		"packet|pts_time=0.04|dts_time=N/A|size=7|flags=__\nside_data|\n" +
		"frame|pict_type=B|interlaced_frame=0|top_field_first=1|repeat_pict=1|side_datum/0|x=1\n"))
	assert.Equal(t, []Frame{{true, false, 0, 'I'}, {false, true, 1, 'B'}}, frames)
	assert.Equal(t, []Packet{{0.03, 120, true}, {0.04, 7, false}}, packets)
}

// TestEncode: frames are told of, and a file has them.
func TestEncode(t *testing.T) {
	tool := need(t)
	path := filepath.Join(t.TempDir(), "a.mkv")
	last := 0
	err := tool.Encode(t.Context(), bytes.NewReader(make([]byte, 16*16*10)), func(n int) { last = n },
		"-f", "rawvideo", "-pix_fmt", "gray", "-s", "16x16", "-r", "25", "-i", "pipe:0", "-c:v", "ffv1", "-f", "matroska", path)
	require.NoError(t, err)
	assert.Equal(t, 10, last)
	frames, packets, err := tool.Frames(t.Context(), path)
	require.NoError(t, err)
	assert.Len(t, frames, 10)
	assert.Len(t, packets, 10)
	assert.True(t, packets[0].Key)
}

// TestEncoderMissing: what is not built in is named with the way out.
func TestEncoderMissing(t *testing.T) {
	tool := need(t)
	err := tool.Encode(t.Context(), bytes.NewReader(make([]byte, 256)), nil,
		"-f", "rawvideo", "-pix_fmt", "gray", "-s", "16x16", "-i", "pipe:0", "-c:v", "libnothing", "-f", "null", "-")
	var missing *EncoderError
	require.True(t, errors.As(err, &missing), "%v", err)
	assert.Equal(t, "libnothing", missing.Encoder)
	assert.ErrorContains(t, err, "was built without the encoder libnothing; install one that has it")
}

func TestFull(t *testing.T) {
	assert.True(t, (&RunError{Tail: "av_interleaved_write_frame(): No space left on device"}).Full())
	assert.False(t, (&RunError{Tail: "Invalid argument"}).Full())
}
