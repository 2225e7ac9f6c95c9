package deliver

import (
	"context"
	"encoding/binary"
	"fmt"
	"math"

	"backporch/internal/ffmpeg"
	"backporch/internal/tone"
)

const (
	// soundBlock is the part of the sound that is measured at once: 0.1 s, which is
	// 100 cycles of the tone.
	soundBlock = soundRate / 10
	// soundOff is by how many dB the tone may be off: meters of line-up are read no
	// closer (common practice).
	soundOff = 0.5
	// soundOther is how far, in dB, all that is not tone lies below it at least: the
	// codecs leave less (measured: -60 dB).
	soundOther = -40
	// soundSilent is the loudest sample of silence, dBFS: a few steps of 16 bits.
	soundSilent = -80
	// soundSlack is by how many seconds sound may be longer or shorter than the
	// picture: it ends on a block of its own, of up to 1536 samples (AC-3), and
	// begins with up to 1024 that prime the decoder (AAC).
	soundSlack = 0.06
)

// An ear measures decoded sound block by block.
type ear struct {
	part   []byte // of a block
	blocks int
	rest   int // samples after them
	levels [soundChannels]span
	other  float64 // loudest of what is not tone, against the tone, dB
	peak   float64 // largest sample, 1 being full scale
}

// span is from the least to the greatest.
type span struct{ low, high float64 }

// frameSize is that of a sample of all channels, as 32-bit floats.
const frameSize = 4 * soundChannels

// hear decodes the sound of a file and checks that it is what was asked for.
func (j *Job) hear(ctx context.Context, tool *ffmpeg.Tool, path string, p *Proof) error {
	e := newEar()
	err := tool.Run(ctx, nil, e, "-i", "file:"+path, "-map", "0:a:0", "-c:a", "pcm_f32le", "-f", "f32le", "pipe:1")
	if err != nil {
		return err
	}
	e.end()
	e.judge(j, p)
	return nil
}

func newEar() *ear {
	e := &ear{other: math.Inf(-1)}
	for c := range e.levels {
		e.levels[c] = span{math.Inf(1), math.Inf(-1)}
	}
	return e
}

// Write implements io.Writer.
func (e *ear) Write(p []byte) (int, error) {
	e.part = append(e.part, p...)
	const size = soundBlock * frameSize
	used := 0
	for ; len(e.part)-used >= 2*size; used += size {
		e.block(e.part[used : used+size])
	}
	e.part = append(e.part[:0], e.part[used:]...)
	return len(p), nil
}

// end takes what is left, which the encoder may have filled up: its level is not
// measured.
func (e *ear) end() {
	e.rest = len(e.part) / frameSize
	for c := range soundChannels {
		for i := range e.rest {
			e.peak = max(e.peak, math.Abs(sampleOf(e.part, i, c)))
		}
	}
}

func sampleOf(b []byte, i, channel int) float64 {
	return float64(math.Float32frombits(binary.LittleEndian.Uint32(b[i*frameSize+4*channel:])))
}

// block measures the tone by what correlates with its sine and cosine.
func (e *ear) block(b []byte) {
	e.blocks++
	for c := range soundChannels {
		var in, quad, square float64
		for i := range soundBlock {
			v := sampleOf(b, i, c)
			e.peak = max(e.peak, math.Abs(v))
			s, k := math.Sincos(2 * math.Pi * float64(i%(soundRate/tone.Frequency)) * tone.Frequency / soundRate)
			in, quad, square = in+float64(v*s), quad+float64(v*k), square+float64(v*v)
		}
		power := (in*in + quad*quad) * 2 / (soundBlock * soundBlock) // of the sine, a*a/2
		if e.blocks > 1 {                                            // the decoder starts within the first
			l := decibels(math.Sqrt(2 * power))
			e.levels[c] = span{min(e.levels[c].low, l), max(e.levels[c].high, l)}
			e.other = max(e.other, decibels(math.Sqrt(max(0, square/soundBlock-power)/power)))
		}
	}
}

// decibels is a share of full scale in dB; nothing is -200.
func decibels(v float64) float64 {
	if !(v > 1e-10) {
		return -200
	}
	return 20 * math.Log10(v)
}

// judge adds the rows.
func (e *ear) judge(j *Job, p *Proof) {
	got := float64(e.blocks*soundBlock+e.rest) / soundRate
	want := j.Seconds().Float64()
	p.check("length of the sound", fmt.Sprintf("%.2f s", want), fmt.Sprintf("%.2f s", got), math.Abs(got-want) <= soundSlack)
	if j.Audio == Silent {
		text := "silence"
		loud := decibels(e.peak)
		if loud > soundSilent {
			text = fmt.Sprintf("samples of %.1f dBFS", loud)
		}
		p.equal("level of the sound", "silence", text)
		return
	}
	level := j.line().Level
	text := fmt.Sprintf("%d Hz, %.1f dBFS", tone.Frequency, level)
	if e.blocks < 2 {
		p.check("level of the sound", text, "too short to tell", true)
		return
	}
	ok := e.other <= soundOther
	var far [soundChannels]float64
	for c, s := range e.levels {
		if far[c] = s.low; s.high-level > level-s.low {
			far[c] = s.high
		}
		ok = ok && math.Abs(far[c]-level) <= soundOff
	}
	p.check("level of the sound", text, fmt.Sprintf("%.1f and %.1f dBFS, else %.0f dB", far[0], far[1], e.other), ok)
}
