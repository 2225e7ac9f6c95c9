package cli

import (
	"context"
	"fmt"
	"io"
	"math"
	"math/big"
	"strconv"

	"backporch/internal/encode/wav"
	"backporch/internal/output"
	"backporch/internal/tone"
	"backporch/timing"
)

// maxToneSeconds is the longest tone.
const maxToneSeconds = 3600

// plan turns the flags into a tone.
func (o *toneOptions) plan() (t tone.Tone, l tone.Length, r *timing.Raster, err error) {
	if r, err = o.raster(); err != nil {
		return
	}
	switch {
	case o.Rate != 48000 && o.Rate != 44100:
		err = usagef("--rate: %d is neither 48000 nor 44100", o.Rate)
	case o.Depth != 16 && o.Depth != 24:
		err = usagef("--depth: %d is neither 16 nor 24", o.Depth)
	case o.Channels != 1 && o.Channels != 2:
		err = usagef("--channels: %d is neither 1 nor 2", o.Channels)
	case o.Ident != "none" && o.Ident != "left":
		err = usagef("--ident: %q is neither none nor left", o.Ident)
	case o.Ident == "left" && o.Channels == 1:
		err = usagef("--ident left tells the left channel from the right one; use --channels 2")
	}
	if err != nil {
		return
	}
	hz, ok := new(big.Rat).SetString(o.Frequency)
	if !ok || !hz.Num().IsInt64() || hz.Denom().Cmp(big.NewInt(1000)) > 0 || hz.Sign() <= 0 || hz.Cmp(big.NewRat(int64(o.Rate), 2)) >= 0 {
		err = usagef("--frequency: %q is not a number above 0 and below %d, half of --rate, with at most 3 decimals", o.Frequency, o.Rate/2)
		return
	}
	t = tone.Tone{Frequency: timing.R(hz.Num().Int64(), hz.Denom().Int64()), Level: o.Level, Rate: o.Rate, Depth: o.Depth, Ident: o.Ident == "left"}
	if !o.leveled {
		t.Level = tone.LineUp(r.Scan.System)
	}
	if !(t.Level >= -100 && t.Level <= 0) {
		err = usagef("--level: %v is not within -100 to 0 dBFS", o.Level)
		return
	}
	if math.Round(t.Amplitude()) == 0 {
		err = usagef("--level: %v dBFS is less than half a step of %d bits, which is silence; use --depth 24 or a higher level", t.Level, t.Depth)
		return
	}
	frames, err := o.length(t, r)
	if err != nil {
		return
	}
	l = tone.Beside(int64(frames), o.Rate, r.Scan)
	t.Samples = l.Samples
	if err = t.Check(); err != nil {
		err = usagef("--%w", err)
	}
	return
}

// length is the number of frames.
func (o *toneOptions) length(t tone.Tone, r *timing.Raster) (int, error) {
	most := int(maxToneSeconds * r.FrameRate().Float64())
	switch {
	case o.counted && (o.Frames < 1 || o.Frames > most):
		return 0, usagef("--frames: %d is not within 1 to %d, an hour", o.Frames, most)
	case o.counted:
		return o.Frames, nil
	case o.Seconds != "":
		n, err := seconds(o.Seconds, r)
		if err == nil && n > most {
			err = usagef("--seconds: %s is more than an hour; use up to %d", o.Seconds, maxToneSeconds)
		}
		return n, err
	}
	return int(tone.Usual(t, r.Scan)), nil
}

func (o *toneOptions) run(ctx context.Context) error {
	t, l, r, err := o.plan()
	if err != nil {
		return err
	}
	if o.Output == output.Stdout && o.OutTerminal {
		return usagef("standard output is a terminal; name a file with -o, or pipe the sound into a program")
	}
	path := o.Output
	if path == "" {
		path = "tone-" + r.Name + ".wav"
	}
	h := wav.Header{Rate: uint32(t.Rate), Channels: o.Channels, Samples: t.Samples, Depth: t.Depth}
	head, err := h.Append(nil)
	if err != nil {
		return &usageError{err: err}
	}
	bar := newProgress(o.Streams, "seconds")
	err = output.File(ctx, path, o.Force, o.Out, func(w io.Writer) error { return writeTone(w, t, h, head, bar.set) })
	bar.done()
	if err != nil {
		return err
	}
	o.summary(path, t, l, r)
	return nil
}

// writeTone writes the file in parts of a second, and tells how many of them are
// done.
func writeTone(w io.Writer, t tone.Tone, h wav.Header, head []byte, progress func(done, total int)) error {
	buf := head
	channels := make([][]int32, h.Channels)
	for from := int64(0); from < t.Samples; from += int64(t.Rate) {
		to := min(from+int64(t.Rate), t.Samples)
		for c := range channels {
			channels[c] = t.Append(channels[c][:0], c, from, to)
		}
		buf = h.AppendSamples(buf, channels)
		if to == t.Samples {
			buf = append(buf, make([]byte, h.Pad())...)
		}
		if _, err := w.Write(buf); err != nil {
			return err
		}
		buf = buf[:0]
		progress(int(to/int64(t.Rate)), int(t.Samples/int64(t.Rate)))
	}
	return nil
}

// summary prints what was written: on standard output, or on standard error
// where the sound went there.
func (o *toneOptions) summary(path string, t tone.Tone, l tone.Length, r *timing.Raster) {
	to := o.Out
	if path == output.Stdout {
		to, path = o.Err, "standard output"
	}
	peak := int64(math.Round(t.Amplitude()))
	fmt.Fprintf(to, "%s: %s Hz, %v dBFS, peak sample %d of %d, %d samples at %d Hz, %s, %d bits\n",
		path, decimal(t.Frequency), t.Level, peak, t.FullScale(), t.Samples, t.Rate, count(o.Channels, "channel"), t.Depth)
	length := fmt.Sprintf("%s of %s", count(int(l.Frames), "frame"), r.Name)
	if d := l.Difference(); d.Num == 0 {
		fmt.Fprintf(to, "length: %.6f s, exactly %s\n", float64(t.Samples)/float64(t.Rate), length)
	} else {
		word := "longer"
		if d.Num < 0 {
			word, d = "shorter", timing.Int(0).Sub(d)
		}
		fmt.Fprintf(to, "length: %.6f s, %s of a sample (%.2f us) %s than %s\n", float64(t.Samples)/float64(t.Rate), d, d.Float64()/float64(t.Rate)*1e6, word, length)
		fmt.Fprintf(o.Err, "note: only every multiple of %d frames is a whole number of samples; --frames %d is the next\n", l.Unit, l.Next())
	}
	o.notes(t, l, r)
}

// notes say how it loops and how to play it.
func (o *toneOptions) notes(t tone.Tone, l tone.Length, r *timing.Raster) {
	say := func(format string, args ...any) { fmt.Fprintf(o.Err, "note: "+format+"\n", args...) }
	next := ""
	if n := l.Loop(t, int64(maxToneSeconds*r.FrameRate().Float64())); n > 0 && n != l.Frames {
		next = fmt.Sprintf("; --frames %d loops", n)
	}
	switch {
	case l.Difference().Num == 0 && t.Seamless():
		say("it loops without a seam, beside a picture that repeats after as many frames")
	case t.Seamless():
		say("the tone loops without a seam, but not in step with the picture%s", next)
	case t.Whole():
		say("the tone loops without a seam, only the time between two interruptions differs there%s", next)
	default:
		say("it is no whole number of cycles: the last 5 ms fade to silence, so that nothing clicks, and a loop has a gap there%s", next)
	}
	if t.Ident {
		say("the left channel is interrupted for 0.25 s at the end of every %d s", tone.IdentEvery)
	}
	say("turn the amplifier down before you play it")
}

// decimal writes a frequency in hertz, to three places at most.
func decimal(a timing.Ratio) string {
	return strconv.FormatFloat(math.Round(a.Float64()*1000)/1000, 'f', -1, 64)
}

// count is "1 frame", "2 frames".
func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
