package deliver

import (
	"context"
	"encoding/binary"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestSoundOf: the ear reads what is put before it. A sine of half of full scale
// is -6.02 dBFS, one of 0.1 is -20; a second one of a hundredth of it lies 40 dB
// below.
func TestSoundOf(t *testing.T) {
	sine := func(a, hz float64) func(i int) float64 {
		return func(i int) float64 { return a * math.Sin(2*math.Pi*hz*float64(i)/soundRate+0.3) }
	}
	none := func(int) float64 { return 0 }
	for _, tt := range []struct {
		name        string
		audio       Audio
		left, right func(i int) float64
		samples     int
		got         string // of the level
		failed      []string
	}{
		{"line-up", Tone, sine(0.1, 1000), sine(0.1, 1000), 96096, "-20.0 and -20.0 dBFS, else", nil},
		{"6 dB too loud", Tone, sine(0.2, 1000), sine(0.2, 1000), 96096, "-14.0 and -14.0 dBFS", []string{"level of the sound"}},
		{"left alone", Tone, sine(0.1, 1000), none, 96096, "-20.0 and -200.0 dBFS", []string{"level of the sound"}},
		{"other tone", Tone, sine(0.1, 1200), sine(0.1, 1200), 96096, "dBFS", []string{"level of the sound"}},
		{"distorted", Tone, func(i int) float64 { return sine(0.1, 1000)(i) + sine(0.002, 3000)(i) }, sine(0.1, 1000), 96096,
			"-20.0 and -20.0 dBFS, else -34 dB", []string{"level of the sound"}},
		{"a gap", Tone, func(i int) float64 {
			if i/soundBlock == 9 {
				return 0
			}
			return sine(0.1, 1000)(i)
		}, sine(0.1, 1000), 96096, "-200.0 and -20.0 dBFS", []string{"level of the sound"}},
		{"short", Tone, sine(0.1, 1000), sine(0.1, 1000), 90000, "-20.0 and", []string{"length of the sound"}},
		{"silent", Silent, none, none, 96096, "silence", nil},
		{"not silent", Silent, none, sine(0.5, 50), 96096, "samples of -6.0 dBFS", []string{"level of the sound"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			q := request(t, "h264-mp4", "480i", "flat", 60) // 2.002 s, 96 096 samples
			q.Audio = tt.audio
			j, err := q.Layout()
			require.NoError(t, err)
			var b []byte
			for i := range tt.samples {
				for _, f := range []func(int) float64{tt.left, tt.right} {
					b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(f(i))))
				}
			}
			e := newEar()
			for part := range slices.Chunk(b, 10007) {
				_, err := e.Write(part)
				require.NoError(t, err)
			}
			e.end()
			p := &Proof{}
			e.judge(j, p)
			assert.Equal(t, tt.failed, p.Failed())
			assert.Contains(t, p.Rows[1].Got, tt.got)
		})
	}
}

// TestBrokenSound: sound that an encoder was told to change fails the proof.
func TestBrokenSound(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	tool := needTool(t)
	for _, target := range []string{"mpeg2-dvd", "h264-mp4", "dv"} {
		for _, tt := range []struct {
			name   string
			audio  Audio
			filter string
			want   []string
		}{
			{"tone", Tone, "anull", nil},
			{"silence", Silent, "anull", nil},
			{"6 dB down", Tone, "volume=-6dB", []string{"level of the sound"}},
			{"one side", Tone, "pan=stereo|c0=c0|c1=0*c0", []string{"level of the sound"}},
			{"cut", Tone, "atrim=duration=0.5", []string{"length of the sound"}},
			{"silence asked for", Silent, "aeval=0.1*sin(2*PI*1000*t)|0:c=same", []string{"level of the sound"}},
		} {
			t.Run(target+"/"+tt.name, func(t *testing.T) {
				q := request(t, target, "576i", "flat", 25)
				q.Audio = tt.audio
				j, err := q.Layout()
				require.NoError(t, err)
				path := brokenFile(t, tool, j, func(a []string) []string {
					i := slices.Index(a, "-c:a")
					return slices.Insert(slices.Clone(a), i, "-af", tt.filter)
				})
				p, err := j.Prove(context.Background(), tool, path)
				require.NoError(t, err)
				for _, name := range tt.want {
					assert.Contains(t, p.Failed(), name)
				}
				if tt.want == nil {
					assert.Empty(t, p.Failed())
				}
			})
		}
	}
}
