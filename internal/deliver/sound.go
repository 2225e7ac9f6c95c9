package deliver

import (
	"bufio"
	"os"

	"backporch/internal/encode/wav"
	"backporch/internal/tone"
	"backporch/timing"
)

// Sound is what all targets can have: two channels of 16 bits at 48 kHz.
const (
	soundRate     = 48000
	soundChannels = 2
	soundDepth    = 16
)

// line is the tone beside the picture, of the level that is used with its
// system.
func (j *Job) line() tone.Tone {
	return tone.Tone{
		Frequency: timing.Int(tone.Frequency), Level: tone.LineUp(j.Raster.Scan.System),
		Rate: soundRate, Depth: soundDepth, Samples: max(1, tone.Beside(int64(j.Frames), soundRate, j.Raster.Scan).Samples),
	}
}

// writeSound writes the sound as a file for the encoder.
func (j *Job) writeSound(path string) (err error) {
	t := j.line()
	h := wav.Header{Rate: soundRate, Channels: soundChannels, Samples: t.Samples, Depth: soundDepth}
	head, err := h.Append(nil)
	if err != nil {
		return err
	}
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer func() {
		if cerr := f.Close(); err == nil {
			err = cerr
		}
	}()
	w := bufio.NewWriter(f)
	_, _ = w.Write(head) // Flush returns the first error
	samples := make([]int32, 0, soundRate)
	var buf []byte
	for from := int64(0); from < t.Samples; from += soundRate {
		to := min(from+soundRate, t.Samples)
		if samples = samples[:0]; j.Audio == Tone {
			samples = t.Append(samples, 0, from, to)
		} else {
			samples = append(samples, make([]int32, to-from)...)
		}
		buf = h.AppendSamples(buf[:0], [][]int32{samples, samples})
		_, _ = w.Write(buf)
	}
	return w.Flush()
}
