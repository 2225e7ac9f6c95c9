package deliver

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/ffmpeg"
)

// TestFrozen: a picture that stands still where the definition moves is found,
// although it is that of the frame before, byte by byte.
func TestFrozen(t *testing.T) {
	tool := needTool(t)
	j := laidOut(t, "ffv1-mkv", "480i", "moving-bar fields=8", 8)
	path := brokenFile(t, tool, j, func(a []string) []string {
		return changed(t, a, "setparams=", "shuffleframes=0 1 2 2 2 2 6 7,setparams=")
	})
	p, err := j.Prove(context.Background(), tool, path)
	require.NoError(t, err)
	assert.Equal(t, []string{"largest difference of a sample"}, p.Failed())
}

// TestFlagsOfFrames: one frame of many that is flagged otherwise is enough.
func TestFlagsOfFrames(t *testing.T) {
	right := ffmpeg.Frame{Interlaced: true, TopFirst: true}
	for _, tt := range []struct {
		wrong ffmpeg.Frame
		want  []string
	}{
		{right, nil},
		{ffmpeg.Frame{Interlaced: true}, []string{"top field first flag"}},
		{ffmpeg.Frame{TopFirst: true}, []string{"interlaced flag"}},
		{ffmpeg.Frame{Interlaced: true, TopFirst: true, Repeat: 1}, []string{"repeated fields"}},
	} {
		p := &Proof{}
		laidOut(t, "mpeg2-dvd", "480i", "flat", 3).fields(p, []ffmpeg.Frame{right, right, tt.wrong})
		assert.Equal(t, tt.want, p.Failed())
	}
}
