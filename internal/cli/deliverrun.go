package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"syscall"

	"backporch/internal/deliver"
	"backporch/internal/ffmpeg"
	"backporch/internal/output"
	"backporch/internal/render"
	"backporch/internal/table"
	"backporch/pattern"
)

// usualSeconds is how long a file lasts that is not told.
const usualSeconds = "10"

func (o *deliverOptions) run(ctx context.Context) error {
	if o.Kit {
		return o.runKit(ctx)
	}
	job, err := o.layout(o.Pattern)
	if err != nil {
		return err
	}
	name := o.Output
	if name == "" {
		e, _, _, _ := pattern.Resolve(o.Pattern) // it was laid out
		name = e.Name + "-" + job.Raster.Name + o.Target.Extension
	}
	if err := o.extension(name); err != nil {
		return err
	}
	for _, path := range []string{name, name + ".json"} {
		if err := output.Check(path, o.Force); err != nil {
			return err
		}
	}
	tool, err := ffmpeg.Find(ctx)
	if err != nil {
		return err
	}
	set, err := output.NewFiles(ctx, filepath.Dir(name), o.Force, filepath.Base(name), filepath.Base(name)+".json")
	if err != nil {
		return err
	}
	defer set.Abort()
	bar := newProgress(o.Streams, "frames")
	proof, err := o.make(ctx, tool, set, job, filepath.Base(name), name, bar.set)
	bar.done()
	if err != nil {
		return err
	}
	if err := o.print(proof); err != nil {
		return err
	}
	o.report(job)
	if !proof.OK {
		return fmt.Errorf("%s failed its proof (%s), so it is not kept", name, proof.Error())
	}
	if err := set.Commit(); err != nil {
		return err
	}
	if o.Output == "" && !o.JSON {
		fmt.Fprintln(o.Out, name)
	}
	return nil
}

// extension refuses a name that says that the file is another target's.
func (o *deliverOptions) extension(name string) error {
	ext := filepath.Ext(name)
	for _, t := range deliver.Targets() {
		if strings.EqualFold(ext, t.Extension) && t.Extension != o.Target.Extension {
			return usagef("-o: %s is a file of target %s by its name, and %s makes %s; use another name or `backporch deliver %[2]s`", name, t.Name, o.Target.Name, o.Target.Extension)
		}
	}
	return nil
}

// make encodes one file of a set and proves it; what it is called is shown.
// progress is told of both, as one work.
func (o *deliverOptions) make(ctx context.Context, tool *ffmpeg.Tool, set *output.Set, job *deliver.Job, name, shown string, progress func(done, total int)) (*deliver.Proof, error) {
	path, err := set.Path(name)
	if err != nil {
		return nil, err
	}
	if path, err = filepath.Abs(path); err != nil {
		return nil, err
	}
	o.told = func(done, total int) { progress(done, 2*total) }
	if err := job.Encode(ctx, tool, path); err != nil {
		return nil, explain(ctx, set, name, shown, err)
	}
	o.told = func(done, total int) { progress(total+done, 2*total) }
	proof, err := job.Prove(ctx, tool, path)
	if err != nil {
		return nil, explain(ctx, set, name, shown, err)
	}
	proof.File = filepath.Base(shown)
	var b bytes.Buffer
	if err := proof.Document().Write(&b, table.JSON, 0); err != nil {
		return nil, err
	}
	return proof, set.WriteFile(name+".json", b.Bytes())
}

// explain says of an error of the encoder what became of the file.
func explain(ctx context.Context, set *output.Set, name, shown string, err error) error {
	var lacks *ffmpeg.EncoderError
	var run *ffmpeg.RunError
	full := errors.Is(err, syscall.ENOSPC) || errors.As(err, &run) && run.Full()
	switch {
	case ctx.Err() != nil:
		return &output.InterruptedError{Path: shown, Left: "nothing was changed under that name", Err: context.Cause(ctx)}
	case errors.As(err, &lacks):
		return lacks
	case full:
		return set.Failed(name, syscall.ENOSPC)
	case run != nil:
		return set.Failed(name, err)
	}
	return err
}

// layout turns the flags into the job of one pattern.
func (o *deliverOptions) layout(spec string) (*deliver.Job, error) {
	e, p, options, err := pattern.Resolve(spec)
	if err != nil {
		return nil, &usageError{err: fmt.Errorf("--pattern: %w", err)}
	}
	v, err := o.resolve(p)
	if err != nil {
		return nil, err
	}
	q := deliver.Request{Picture: v.request(p, pattern.Spell(e, options), nil), Target: o.Target, Depth: o.Depth, Audio: deliver.Audio(o.Audio), Motion: o.motion}
	q.Picture.Clip, q.Picture.Ident = o.Clip, o.Ident
	q.Progress = func(done, total int) {
		if o.told != nil {
			o.told(done, total)
		}
	}
	length := o.Seconds
	if length == "" {
		length = usualSeconds
	}
	if q.Frames, err = seconds(length, v.Raster); err != nil {
		return nil, err
	}
	if float64(q.Frames) > deliver.MaxSeconds*v.Raster.FrameRate().Float64()+1 {
		return nil, usagef("--seconds: %s is more than an hour; use up to %d, and let the player repeat it", length, deliver.MaxSeconds)
	}
	job, err := q.Layout()
	if err != nil {
		return nil, &usageError{err: deliverText(err)}
	}
	return job, nil
}

// deliverText writes an error of a laid-out file as the flags are written.
func deliverText(err error) error {
	var reach *render.RangeError
	if errors.As(err, &reach) {
		return err
	}
	if strings.HasPrefix(err.Error(), "ident: ") {
		return fmt.Errorf("--%w", err)
	}
	return err
}

// print shows the proof.
func (o *deliverOptions) print(proof *deliver.Proof) error {
	t := tableFlags{JSON: o.JSON}
	return t.print(o.Streams, proof.Document())
}

// report tells on standard error what the user should know of the picture.
func (o *deliverOptions) report(job *deliver.Job) {
	say := func(format string, args ...any) { fmt.Fprintf(o.Err, format+"\n", args...) }
	for _, l := range job.Lost.Clipped(false).ByWay() {
		say("absent: %s (%s)", l.Names(), l[0].Reason)
	}
	if l := job.Lost.Clipped(true); len(l) > 0 {
		say("clipped: %s", clippedText(l))
	}
	if e := job.Plan.SyncError(); e != 0 {
		say("note: sync stays the player's, %+.1f mV against %s", float64(e), job.Plan.Wire.Name)
	}
	for _, n := range append(append([]string(nil), job.Notes...), job.Scene.Notes...) {
		say("note: %s", n)
	}
	if job.Aspect.Cmp(aspect4x3) != 0 {
		say("note: laid out for a screen switched to 16:9; the file says so, the cable carries no signal for it")
	}
	e, _, _, _ := pattern.Resolve(job.Spec) // it was laid out
	switch {
	case e.Still != "":
		say("caution: %s", e.Still)
	case job.Scene.Period <= 1:
		say("caution: a picture that stands still for hours marks the phosphor; do not leave a loop of it on longer than the work needs")
	}
	if job.Audio == deliver.Tone {
		say("caution: turn the amplifier down before you play it")
	}
}
