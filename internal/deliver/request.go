package deliver

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"backporch/internal/format"
	"backporch/internal/render"
	"backporch/timing"
)

// Audio is what is heard.
type Audio string

// The kinds of sound. Tone is the line-up tone of the system, at its level.
const (
	NoAudio Audio = "none"
	Silent  Audio = "silent"
	Tone    Audio = "tone"
)

// Audios lists them.
func Audios() []string { return []string{string(NoAudio), string(Silent), string(Tone)} }

// A Request is one file to make.
type Request struct {
	Picture render.Request // what is shown; Layout sets its Format and Frames, and its Raster where the target has only a sister
	Target  *Target
	Frames  int   // at least; what moves lasts whole periods
	Depth   int   // bits a sample; 0: the usual ones of the target
	Audio   Audio // "": the usual one of the target

	Motion *Motion // shared by files of the same settings; nil: each proves motion for itself

	// Progress, if not nil, is told how many frames are done: of encoding and of
	// proving, each from 0 to total.
	Progress func(done, total int)
}

// A Job is a Request that has been laid out and found possible.
type Job struct {
	*render.Job
	Target *Target
	Audio  Audio
	Notes  []string // what the user should know, in sentences

	progress func(done, total int)
	moving   *Motion
}

// MaxSeconds is the longest file.
const MaxSeconds = 3600

// longest is how much longer than asked a file may get so that what moves
// ends where it began, in seconds.
const longest = 120

// Layout checks the request and lays its picture out. Errors name what cannot
// be and the way out; a *render.RangeError can be overcome with Clip.
func (q *Request) Layout() (*Job, error) {
	t, p := q.Target, q.Picture
	j := &Job{Target: t, Audio: q.Audio, progress: q.Progress, moving: cmp.Or(q.Motion, new(Motion))}
	if d := p.Device; d != nil && (d.Pixels() || !slices.Contains(d.Formats, "y4m")) {
		return nil, fmt.Errorf("device %s plays no video files; make its own with `backporch render` or `backporch kit`, or leave --device out", d.Name)
	}
	r, err := t.Raster(p.Raster)
	if err != nil {
		return nil, err
	}
	if r != p.Raster {
		j.note("the picture is laid out on raster %s, which %s has, not on %s: another crop of the same lines, %v", r.Name, t.Name, p.Raster.Name, r.Order())
		p.Raster = r
	}
	if j.Audio == "" {
		j.Audio = t.Audio
	}
	if !slices.Contains(Audios(), string(j.Audio)) {
		return nil, fmt.Errorf("audio %q is none of none, silent and tone", q.Audio)
	}
	depth := q.Depth
	if depth == 0 {
		depth = t.Depths[0]
	}
	if !slices.Contains(t.Depths, depth) {
		return nil, fmt.Errorf("target %s cannot have depth %d; it has %s", t.Name, depth, numbers(t.Depths))
	}
	if p.Format, err = format.Resolve(format.Choice{Name: "y4m", Chroma: t.chroma(r), Depth: depth}); err != nil {
		return nil, err
	}
	p.Frames = max(1, q.Frames)
	if j.Job, err = p.Layout(); err != nil {
		return nil, t.named(err)
	}
	j.whole()
	return j, nil
}

// named is an error about what the encoder is given as one about its file.
func (t *Target) named(err error) error {
	var reach *render.RangeError
	if !errors.As(err, &reach) {
		return err
	}
	r, f := *reach, *reach.Format
	f.Name = t.Name
	r.Format = &f
	return &r
}

// whole makes the length one that loops.
func (j *Job) whole() {
	period := max(1, j.Scene.Period)
	n := (j.Frames + period - 1) / period * period
	rate := j.Raster.FrameRate().Float64()
	switch {
	case n == j.Frames:
	case float64(n-j.Frames) > longest*rate:
		j.note("the picture repeats after %.0f s only; this file ends before, so a loop of it jumps", float64(period)/rate)
	default:
		j.note("the file lasts %d frames, %.3f s, so that what moves ends where it began", n, float64(n)/rate)
		j.Frames = n
	}
}

func (j *Job) note(format string, args ...any) {
	j.Notes = append(j.Notes, fmt.Sprintf(format, args...))
}

// Seconds is how long the file lasts.
func (j *Job) Seconds() timing.Ratio { return timing.Int(int64(j.Frames)).Div(j.Raster.FrameRate()) }

func (j *Job) told(done int) {
	if j.progress != nil {
		j.progress(min(done, j.Frames), j.Frames)
	}
}

func numbers(list []int) (s string) {
	for i, n := range list {
		if i > 0 {
			s += " or "
		}
		s += fmt.Sprint(n)
	}
	return s
}
