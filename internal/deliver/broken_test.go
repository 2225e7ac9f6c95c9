package deliver

import (
	"context"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/ffmpeg"
	"backporch/internal/format"
)

// changed returns the encoder's arguments with one piece replaced, which must be
// there.
func changed(t testing.TB, args []string, old, new string) []string {
	t.Helper()
	found := false
	args = slices.Clone(args)
	for i, a := range args {
		if strings.Contains(a, old) {
			args[i], found = strings.ReplaceAll(a, old, new), true
		}
	}
	require.True(t, found, "%s is not among %q", old, args)
	return args
}

// setting returns the arguments with another value of a flag.
func setting(t testing.TB, args []string, flag, value string) []string {
	t.Helper()
	i := slices.Index(args, flag)
	require.GreaterOrEqual(t, i, 0, flag)
	args = slices.Clone(args)
	args[i+1] = value
	return args
}

// brokenFile makes the file with arguments that wrong makes of the right ones.
func brokenFile(t testing.TB, tool *ffmpeg.Tool, j *Job, wrong func([]string) []string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "file")
	sound := ""
	if j.Audio != NoAudio {
		sound = path + ".wav"
		require.NoError(t, j.writeSound(sound))
	}
	require.NoError(t, j.run(context.Background(), tool, wrong(j.args(path, sound))))
	return path
}

// TestBroken: each flag and level that an encoder can get wrong, made wrong on
// purpose, fails the proof under its own name.
func TestBroken(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	tool := needTool(t)
	const filter = "setparams=field_mode="
	for _, tt := range []struct {
		name, target, raster string
		wrong                func(t *testing.T, a []string) []string
		want                 []string // rows that must fail; a patch is "patch NAME"
	}{
		{"bottom field first", "mpeg2-dvd", "480i",
			func(t *testing.T, a []string) []string {
				return changed(t, setting(t, a, "-top", "0"), filter+"tff", filter+"bff")
			}, []string{"top field first flag", tagOrder}},
		{"bottom field first", "h264-mp4", "576i",
			func(t *testing.T, a []string) []string {
				return changed(t, changed(t, a, "tff=1", "bff=1"), filter+"tff", filter+"bff")
			}, []string{"top field first flag", tagOrder}},
		{"top field first", "h264-mp4", "480i-dv",
			func(t *testing.T, a []string) []string {
				return changed(t, changed(t, a, "bff=1", "tff=1"), filter+"bff", filter+"tff")
			}, []string{"top field first flag", tagOrder}},
		{"top field first", "ffv1-mkv", "486i",
			func(t *testing.T, a []string) []string { return changed(t, a, filter+"bff", filter+"tff") },
			[]string{"top field first flag", tagOrder}},
		{"top field first", "v210-mov", "480i-dv",
			func(t *testing.T, a []string) []string { return changed(t, a, filter+"bff", filter+"tff") },
			[]string{"top field first flag", tagOrder}},
		{"progressive", "mpeg2-dvd", "576i",
			func(t *testing.T, a []string) []string {
				return changed(t, changed(t, a, "+ildct+ilme+cgop", "+cgop"), filter+"tff", filter+"prog")
			}, []string{"interlaced flag", tagOrder}},
		{"progressive", "h264-mp4", "480i",
			func(t *testing.T, a []string) []string {
				return changed(t, changed(t, changed(t, a, "+ildct+ilme", ""), ":tff=1", ""), filter+"tff", filter+"prog")
			}, []string{"interlaced flag", tagOrder}},
		{"interlaced", "h264-mp4", "240p",
			func(t *testing.T, a []string) []string {
				return changed(t, changed(t, changed(t, a, "+cgop", "+ildct+ilme+cgop"), "open-gop=0", "open-gop=0:tff=1"), filter+"prog", filter+"tff")
			}, []string{"interlaced flag", tagOrder}},
		{"matrix", "mpeg2-dvd", "480i",
			func(t *testing.T, a []string) []string {
				return changed(t, a, "colorspace=smpte170m", "colorspace=bt709")
			},
			[]string{tagMatrix}},
		{"matrix", "v210-mov", "576i",
			func(t *testing.T, a []string) []string {
				return changed(t, a, "colorspace=bt470bg", "colorspace=bt709")
			},
			[]string{tagMatrix}},
		{"primaries", "h264-mp4", "576i",
			func(t *testing.T, a []string) []string {
				return changed(t, a, "color_primaries=bt470bg", "color_primaries=bt709")
			}, []string{tagPrimaries}},
		{"transfer", "ffv1-mkv", "480i",
			func(t *testing.T, a []string) []string {
				return changed(t, a, "color_trc=smpte170m", "color_trc=bt709")
			},
			[]string{tagTransfer}},
		{"full range said", "h264-mp4", "480i",
			func(t *testing.T, a []string) []string { return changed(t, a, "range=tv", "range=pc") },
			[]string{tagRange}},
		{"levels squeezed", "h264-mp4", "480i",
			func(t *testing.T, a []string) []string {
				return changed(t, a, filter+"tff", "scale=in_range=full:out_range=tv:interl=1,"+filter+"tff")
			}, []string{"patch white", "patch black", "below black: PLUGE below black"}},
		{"below black cut", "ffv1-mkv", "480i",
			func(t *testing.T, a []string) []string {
				return changed(t, a, filter+"tff", "lutyuv=y=clip(val\\,64\\,940),"+filter+"tff")
			}, []string{"patch PLUGE below black", "below black: PLUGE below black", "largest difference of a sample"}},
		{"other shape", "mpeg2-dvd", "480i",
			func(t *testing.T, a []string) []string { return setting(t, a, "-aspect", "16:9") },
			[]string{"shape of the picture"}},
		{"other shape", "h264-mp4", "240p",
			func(t *testing.T, a []string) []string {
				return changed(t, a, filter+"prog", "setsar=10/11,"+filter+"prog")
			},
			[]string{tagShape, "shape of the picture"}},
		{"other shape", "dv", "576i-dv",
			func(t *testing.T, a []string) []string { return setting(t, a, "-aspect", "16:9") },
			[]string{"shape of the picture"}},
		{"other samples", "ffv1-mkv", "480i",
			func(t *testing.T, a []string) []string { return setting(t, a, "-pix_fmt", "yuv422p") },
			[]string{"samples"}},
		{"other profile", "h264-mp4", "480i",
			func(t *testing.T, a []string) []string {
				return setting(t, setting(t, a, "-profile:v", "high444"), "-qp", "0")
			}, []string{"video"}},
		{"too coarse", "h264-mp4", "480i",
			func(t *testing.T, a []string) []string { return setting(t, a, "-qp", "51") },
			[]string{"patch yellow"}},
		{"too long a group", "mpeg2-dvd", "576i",
			func(t *testing.T, a []string) []string { return setting(t, a, "-g", "30") },
			[]string{"frames in a group"}},
		{"other rate", "h264-mp4", "240p",
			func(t *testing.T, a []string) []string {
				return changed(t, a, filter+"prog", "setpts=N/60/TB,fps=60,"+filter+"prog")
			}, []string{"frame rate"}},
		{"other container", "h264-mp4", "480i",
			func(_ *testing.T, a []string) []string {
				a = slices.Clone(a)
				a[len(a)-3] = "matroska" // the muxer, before -y and the file
				return a
			},
			[]string{"container"}},
		{"a frame short", "v210-mov", "480i",
			func(t *testing.T, a []string) []string {
				return changed(t, a, filter+"tff", "trim=end_frame=29,"+filter+"tff")
			},
			[]string{"frames", "frames decoded"}},
		{"no sound", "mpeg2-dvd", "480i",
			func(t *testing.T, a []string) []string {
				i := slices.Index(a, "1:a:0")
				return slices.Concat(a[:i-1], a[i+1:i+1], []string{"-an"}, a[i+1:])
			}, []string{"sound"}},
		{"one channel", "h264-mp4", "480i",
			func(t *testing.T, a []string) []string {
				return slices.Concat(a[:len(a)-2], []string{"-ac", "1"}, a[len(a)-2:])
			},
			[]string{"sound"}},
	} {
		t.Run(tt.name+"/"+tt.target+"/"+tt.raster, func(t *testing.T) {
			spec := "bars-eg1"
			if strings.HasPrefix(tt.raster, "576") {
				spec = "bars-full"
			}
			j := laidOut(t, tt.target, tt.raster, spec, 30)
			path := brokenFile(t, tool, j, func(a []string) []string { return tt.wrong(t, a) })
			p, err := j.Prove(context.Background(), tool, path)
			require.NoError(t, err)
			assert.False(t, p.OK)
			for _, name := range tt.want {
				assert.Contains(t, p.Failed(), name)
			}
		})
	}
}

// TestMixedChroma: what a converter makes of 4:2:2 when it is not told of
// fields, and fields in the wrong order, are found by the bars that move.
func TestMixedChroma(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	tool := needTool(t)
	for _, tt := range []struct {
		name, target, raster string
		chroma               string // that the encoder is given
		wrong                func([]string) []string
		want                 []string
	}{
		{"fields taken for one picture", "h264-mp4", "480i", "422",
			func(a []string) []string {
				return changed(t, a, "setparams=", "scale=interl=0,format=yuv420p,setparams=")
			},
			[]string{"moving bars, chroma mixed"}},
		{"fields taken for one picture", "mpeg2-dvd", "576i", "422",
			func(a []string) []string {
				return changed(t, a, "setparams=", "scale=interl=0,format=yuv420p,setparams=")
			},
			[]string{"moving bars, chroma mixed"}},
		{"right", "h264-mp4", "480i", "420", func(a []string) []string { return a }, nil},
		{"fields in the wrong order", "h264-mp4", "480i", "420",
			func(a []string) []string {
				return changed(t, changed(t, a, "tff=1", "bff=1"), "field_mode=tff", "field_mode=bff")
			}, []string{"moving bars, at the wrong time", "moving bars, luma mixed", "moving bars, chroma mixed"}},
		{"fields in the wrong order", "mpeg2-dvd", "480i-dv", "420",
			func(a []string) []string {
				return changed(t, setting(t, a, "-top", "1"), "field_mode=bff", "field_mode=tff")
			}, []string{"moving bars, at the wrong time"}},
		{"fields of luma exchanged", "ffv1-mkv", "576i", "422",
			func(a []string) []string { return changed(t, a, "setparams=", "il=ls=1,setparams=") },
			[]string{"moving bars, at the wrong time", "moving bars, luma mixed"}},
		{"fields of chroma exchanged", "ffv1-mkv", "576i", "422",
			func(a []string) []string { return changed(t, a, "setparams=", "il=cs=1,setparams=") },
			[]string{"moving bars, at the wrong time", "moving bars, chroma mixed"}},
		{"shifted by a row", "dv", "480i-dv", "411",
			func(a []string) []string {
				return changed(t, a, "setparams=", "crop=720:479:0:1:exact=1,pad=720:480:0:0,setparams=")
			}, []string{"moving bars, at the wrong time"}},
		{"fields blended", "ffv1-mkv", "576i", "422",
			func(a []string) []string { return changed(t, a, "setparams=", "yadif=mode=0:parity=0,setparams=") },
			[]string{"moving bars, luma mixed"}},
		{"white and black cut", "ffv1-mkv", "480i", "422",
			func(a []string) []string {
				return changed(t, a, "setparams=", "lutyuv=y=clip(val\\,64\\,940),setparams=")
			},
			[]string{"moving bars, below black", "moving bars, above white"}},
	} {
		t.Run(tt.name+"/"+tt.target+"/"+tt.raster, func(t *testing.T) {
			m, err := laidOut(t, tt.target, tt.raster, "flat", 1).mover()
			require.NoError(t, err)
			given := *m
			if tt.chroma != m.Format.Chroma {
				q := m.Request
				q.Format, err = format.Resolve(format.Choice{Name: "y4m", Chroma: tt.chroma})
				require.NoError(t, err)
				given.Job, err = q.Layout()
				require.NoError(t, err)
			}
			path := filepath.Join(t.TempDir(), "file")
			require.NoError(t, given.run(context.Background(), tool, tt.wrong(m.args(path, ""))))
			p := &Proof{}
			require.NoError(t, m.proveMotion(context.Background(), tool, path, p))
			if tt.want == nil {
				assert.Empty(t, p.Failed())
				return
			}
			for _, name := range tt.want {
				assert.Contains(t, p.Failed(), name)
			}
		})
	}
}
