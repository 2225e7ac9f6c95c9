package cli

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"backporch/internal/format"
	"backporch/internal/job"
	"backporch/internal/output"
	"backporch/internal/render"
	"backporch/pattern"
)

// maxStepSeconds is the most that a video of a pattern that moves lasts; the
// patterns of the plan repeat sooner.
const maxStepSeconds = 10

// A stepPicture is one picture of a step, laid out for the device of the job.
type stepPicture struct {
	*renderOptions
	job  *render.Job
	name string // of its file
}

// render writes the pictures of a step, all or none.
func (o *jobNextOptions) render(ctx context.Context, w *jobWork, s *job.StepState) error {
	specs := stepPatterns(&s.Step)
	switch {
	case len(specs) == 0:
		return usagef("step %s shows no pattern; `backporch job next --step %s` says what to do", s.Key, s.Key)
	case o.Number > len(specs):
		return usagef("--picture: step %s has %s; give a number from 1 to %d", s.Key, count(len(specs), "picture"), len(specs))
	case o.Number > 0:
		specs = specs[o.Number-1 : o.Number]
	}
	dir, file, err := o.target(len(specs))
	if err != nil {
		return err
	}
	var list []*stepPicture
	var names []string
	taken := func(name string) bool {
		for _, n := range names {
			if strings.TrimSuffix(n, filepath.Ext(n)) == name {
				return true
			}
		}
		return false
	}
	for _, spec := range specs {
		p, err := o.picture(w, s, spec, file)
		if err != nil {
			return err
		}
		switch slug := strings.ReplaceAll(s.Key, "@", "-") + "-" + slugOf(spec); {
		case file != "":
			p.name = file
		case short(p.job):
			p.name = format.ShortName(slug, taken) + strings.ToUpper(p.job.Format.Extension)
		default:
			p.name = slug + "-" + p.job.Raster.Name + p.job.Format.Extension
		}
		p.Output = filepath.Join(dir, p.name)
		list, names = append(list, p), append(names, p.name)
	}
	if err := writePictures(ctx, dir, o.Force, list, names); err != nil {
		return err
	}
	for _, c := range w.cautions(&s.Step) {
		fmt.Fprintf(o.Err, "caution: %s\n", c.Title)
	}
	for _, p := range list {
		p.report(p.job)
		if p.job.Scene.Period > 1 && !p.job.Format.Stream {
			fmt.Fprintf(o.Err, "note: %s moves and %s is one picture of it; `backporch deliver` makes a video of it for a player\n", p.Entry.Name, p.name)
		}
		fmt.Fprintln(o.Out, p.Output)
	}
	return nil
}

// target is the folder, and the name of the file where -o names one.
func (o *jobNextOptions) target(pictures int) (dir, file string, err error) {
	switch {
	case o.Output == "":
		return "", "", nil
	case o.Output == output.Stdout:
		return "", "", usagef("--render writes files; for standard output use the command that `backporch job next` prints, with -o - and --format")
	case strings.HasSuffix(o.Output, string(filepath.Separator)):
		return o.Output, "", nil
	}
	if info, err := os.Stat(o.Output); err == nil && info.IsDir() {
		return o.Output, "", nil
	}
	if pictures > 1 {
		return "", "", usagef("the step has %s and -o %s is one file; name an existing folder, or choose one with --picture 1", count(pictures, "picture"), o.Output)
	}
	dir, file = filepath.Split(o.Output)
	return dir, file, nil
}

// picture lays one picture out as `backporch render` does.
func (o *jobNextOptions) picture(w *jobWork, s *job.StepState, spec, file string) (*stepPicture, error) {
	r := &renderOptions{Streams: o.Streams, pictureFlags: *stepPictures(w.Set(), &s.Step), Frames: 1, Force: o.Force}
	var err error
	if r.Entry, r.Pattern, r.Options, err = pattern.Resolve(spec); err != nil {
		return nil, fmt.Errorf("step %s: %w", s.Key, err)
	}
	r.Format.Name, r.Output = o.Format, file
	p := &stepPicture{renderOptions: r}
	if p.job, err = r.layout(); err != nil {
		return nil, fmt.Errorf("step %s, %s: %w", s.Key, spec, err)
	}
	period := p.job.Scene.Period
	if period <= 1 {
		return p, nil
	}
	// What moves is a video where the device plays any.
	if o.Format == "" && file == "" {
		r.Format.Name = movingFormat(p.job)
	}
	if f, err := format.Resolve(r.Format); err == nil && f.Stream {
		rate := p.job.Raster.FrameRate()
		r.Frames = min(period, int(maxStepSeconds*rate.Num/rate.Den))
	}
	p.job, err = r.layout()
	return p, err
}

// movingFormat is the first video that plays on the device of a picture, or the
// format that the picture has.
func movingFormat(j *render.Job) string {
	names := []string{"y4m"}
	if j.Device != nil {
		names = j.Device.Formats
	}
	for _, name := range names {
		if f, err := format.Resolve(format.Choice{Name: name}); err == nil && f.Stream {
			return f.Name
		}
	}
	return j.Format.Name
}

// writePictures writes all files or none.
func writePictures(ctx context.Context, dir string, force bool, list []*stepPicture, names []string) error {
	set, err := output.NewFiles(ctx, dir, force, names...)
	if err != nil {
		return err
	}
	defer set.Abort()
	for _, p := range list {
		f, err := set.Create(p.name)
		if err != nil {
			return err
		}
		if err := p.job.Write(ctx, f); err != nil {
			f.Close()
			return err
		}
		if err := f.Close(); err != nil {
			return err
		}
	}
	return named(set.Commit(), list[0].Output)
}

// slugOf is a spelling as part of a file's name: "flat-red" of "flat color=red".
func slugOf(spec string) string {
	var parts []string
	for i, w := range strings.Fields(spec) {
		if _, value, ok := strings.Cut(w, "="); i > 0 && ok {
			w = value
		}
		w = strings.Trim(strings.Map(func(r rune) rune {
			if r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r == '.' || r == '-' {
				return r
			}
			return '-'
		}, w), "-.")
		if w != "" {
			parts = append(parts, w)
		}
	}
	return strings.Join(parts, "-")
}
