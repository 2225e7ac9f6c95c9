package deliver

import (
	"context"
	"fmt"
	"math"
	"strings"

	"backporch/internal/ffmpeg"
	"backporch/timing"
)

// Prove decodes the file again and says what it is. The error is only that it
// could not be looked at; whether it is right is in the proof.
func (j *Job) Prove(ctx context.Context, tool *ffmpeg.Tool, path string) (*Proof, error) {
	p := &Proof{
		File: path, Target: j.Target.Name, Pattern: j.Spec, Raster: j.Raster.Name,
		Encoder: j.Target.encoder + " of ffmpeg " + tool.Version,
	}
	probe, err := tool.Probe(ctx, path)
	if err != nil {
		return nil, err
	}
	if probe.Video == nil {
		p.check("video", j.Target.codec, "none", false)
		p.judge()
		return p, nil
	}
	frames, packets, err := tool.Frames(ctx, path)
	if err != nil {
		return nil, err
	}
	j.container(p, probe)
	j.fields(p, frames)
	j.tags(p, probe.Video)
	j.time(p, probe, frames)
	j.groups(p, packets)
	if ok := j.sound(p, probe.Audio); ok && j.Audio != NoAudio {
		if err := j.hear(ctx, tool, path, p); err != nil {
			return nil, err
		}
	}
	if !j.sameSamples(probe.Video) {
		p.Notes = append(p.Notes, "The patches were not measured: the file has other samples than it must have.")
		p.judge()
		return p, nil
	}
	c := newComparer(j)
	if err := c.compare(ctx, tool, path, probe.Video.Pixels); err != nil {
		return nil, err
	}
	j.samples(p, c)
	if err := j.motion(ctx, tool, path, p); err != nil {
		return nil, err
	}
	p.judge()
	return p, nil
}

// container checks what holds what.
func (j *Job) container(p *Proof, probe *ffmpeg.Probe) {
	v := probe.Video
	p.equal("container", j.Target.container, probe.Format)
	p.equal("video", j.Target.codec, strings.TrimSpace(v.Codec+" "+v.Profile))
	p.equal("picture", fmt.Sprintf("%d x %d", j.Raster.Width, j.Raster.Height()), fmt.Sprintf("%d x %d", v.Width, v.Height))
	p.equal("samples", j.pixels(), v.Pixels)
}

// sameSamples reports whether the file can be measured code by code.
func (j *Job) sameSamples(v *ffmpeg.Video) bool {
	// yuvj420p and the like are the same samples, said to be of full range.
	return v.Width == j.Raster.Width && v.Height == j.Raster.Height() && strings.Replace(v.Pixels, "yuvj", "yuv", 1) == j.pixels()
}

// fields checks what every picture is flagged as.
func (j *Job) fields(p *Proof, frames []ffmpeg.Frame) {
	interlaced, top, repeated := 0, 0, 0
	for _, f := range frames {
		if f.Interlaced {
			interlaced++
		}
		if f.TopFirst {
			top++
		}
		if f.Repeat != 0 {
			repeated++
		}
	}
	of := func(k int) string { return fmt.Sprintf("%d of %d frames", k, len(frames)) }
	want := map[bool]int{true: len(frames)}
	p.equal("interlaced flag", of(want[j.Raster.Scan.Interlaced()]), of(interlaced))
	p.equal("top field first flag", of(want[j.Raster.Order() == timing.TopFirst]), of(top))
	p.equal("repeated fields", of(0), of(repeated))
}

// tags checks what the file says of its pictures.
func (j *Job) tags(p *Proof, v *ffmpeg.Video) {
	f := flags(j.Raster)
	j.said(p, tagOrder, j.Raster.Order().String(), orderOf(v.FieldOrder))
	j.said(p, tagRange, "tv", v.Range)
	j.said(p, tagMatrix, f.matrix, v.Matrix)
	j.said(p, tagPrimaries, f.primaries, v.Primaries)
	j.said(p, tagTransfer, f.transfer, v.Transfer)
	shape := j.Raster.ShapeOn(j.Aspect)
	j.said(p, tagShape, colon(shape), v.SampleAspect)
	// MPEG-2 and DV have the screen, the others the sample; the shape of the
	// whole picture follows.
	screen := shape.Mul(timing.R(int64(j.Raster.Width), int64(j.Raster.Height())))
	if j.Target.reason(tagShape) != "" {
		screen = j.Aspect
	}
	p.equal("shape of the picture", colon(screen), v.DisplayAspect)
}

// said adds the row of a tag; what the kind of file has no place for is not
// wrong.
func (j *Job) said(p *Proof, tag, want, got string) {
	if got == "unknown" {
		got = ""
	}
	c := Check{Name: tag, Want: want, Got: got, OK: want == got}
	if got == "" {
		c.Got = "-"
	}
	// Something else in its place is wrong all the same; but where the shape of
	// the screen stands for that of a sample, it gives another.
	why := j.Target.reason(tag)
	if tag == tagOrder && why == "" && j.Frames == 1 && got == "" {
		why = "ffprobe tells it from the second picture on; of a single one its own flag counts"
	}
	if why != "" && !c.OK && (got == "" || tag == tagShape) {
		c.OK, c.Unsaid = true, why
	}
	p.Rows = append(p.Rows, c)
}

// reason is why the target has no place for a tag; "" where it has.
func (t *Target) reason(tag string) string {
	for _, u := range t.unsaid {
		if u.tag == tag {
			return u.reason
		}
	}
	return ""
}

// orderOf reads the order of fields as ffprobe has it. Of fields that lie row by
// row in one picture QuickTime and Matroska say "spatial first line early" (9)
// or "late" (14), which ffprobe calls tb and bt (memory; tried).
func orderOf(s string) string {
	switch s {
	case "tt", "tb":
		return timing.TopFirst.String()
	case "bb", "bt":
		return timing.BottomFirst.String()
	}
	return s
}

func colon(r timing.Ratio) string { return fmt.Sprintf("%d:%d", r.Num, r.Den) }

// time checks rate and length.
func (j *Job) time(p *Proof, probe *ffmpeg.Probe, frames []ffmpeg.Frame) {
	want := j.Raster.FrameRate()
	c := Check{Name: "frame rate", Want: fmt.Sprintf("%d/%d", want.Num, want.Den), Got: probe.Video.Rate}
	c.OK = c.Want == c.Got
	if !c.OK && j.Target.muxer == "matroska" {
		// The container has the length of a frame in whole nanoseconds.
		var num, den float64
		if n, _ := fmt.Sscanf(c.Got, "%g/%g", &num, &den); n == 2 && math.Abs(num/den/want.Float64()-1) < 1e-6 {
			c.OK = true
			c.Unsaid = "Matroska has the length of a frame in nanoseconds and the times of frames in milliseconds"
		}
	}
	p.Rows = append(p.Rows, c)
	p.equal("frames", fmt.Sprint(j.Frames), fmt.Sprint(len(frames)))
	// Containers count from the first time stamp to the last, with or without the
	// last frame, and sound ends on a block of its own: up to 1536 samples of AC-3.
	length, slack := j.Seconds().Float64(), 1/want.Float64()+0.05
	p.check("duration", fmt.Sprintf("%.2f s", length), fmt.Sprintf("%.2f s", probe.Duration), math.Abs(probe.Duration-length) <= slack)
}

// groups checks the flow of data.
func (j *Job) groups(p *Proof, packets []ffmpeg.Packet) {
	longest, run, bits := 0, 0, 0.0
	for _, k := range packets {
		if k.Key {
			run = 0
		}
		run++
		longest = max(longest, run)
		bits += float64(k.Size) * 8
	}
	most := 1
	if j.Target.GOP {
		most = gop(j.Raster)
	}
	p.check("frames in a group", fmt.Sprintf("at most %d", most), fmt.Sprint(longest), longest <= most && longest > 0)
	mean := bits / 1e6 / j.Seconds().Float64()
	b := j.Target.buffer
	if b == nil {
		p.check("bit rate", "any", fmt.Sprintf("%.2f Mbit/s", mean), true)
		return
	}
	// A picture is in the buffer at most until it is shown, a frame after the one
	// before.
	full, fullest := 0.0, 0.0
	for _, k := range packets {
		full = max(0, full-b.rate/j.Raster.FrameRate().Float64()) + float64(k.Size)*8/1e6
		fullest = max(fullest, full)
	}
	want, ok := fmt.Sprintf("at most %.2f Mbit/s", b.rate), mean <= b.rate
	if j.Seconds().Cmp(timing.Int(DiscSeconds)) < 0 {
		// What fills the buffer once is a large part of a short file.
		want, ok = "any, the buffer counts", true
	}
	p.check("bit rate", want, fmt.Sprintf("%.2f Mbit/s", mean), ok)
	p.check("buffer", fmt.Sprintf("at most %.3f Mbit", b.size), fmt.Sprintf("%.3f Mbit", fullest), fullest <= b.size)
}

// sound checks that there is the kind that was asked for.
func (j *Job) sound(p *Proof, a *ffmpeg.Audio) bool {
	want, got := "none", "none"
	if j.Audio != NoAudio {
		want = soundText(j.Target.sound, soundRate, soundChannels)
	}
	if a != nil {
		got = soundText(a.Codec, a.Rate, a.Channels)
	}
	p.equal("sound", want, got)
	return want == got
}

func soundText(codec string, rate, channels int) string {
	return fmt.Sprintf("%s, %d Hz, %d channels", codec, rate, channels)
}
