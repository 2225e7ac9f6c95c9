package kit

import (
	"fmt"
	"slices"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/device"
	"backporch/internal/format"
	"backporch/internal/render"
	"backporch/pattern"
	"backporch/pattern/frame"
)

// formats returns the names of the formats of the kit.
func (q *Request) formats() (list []string, err error) {
	if len(q.Formats) == 0 {
		return q.usualFormats()
	}
	by := map[string]string{} // the format that writes an extension
	for _, name := range q.Formats {
		if device.IsData(strings.ToLower(name)) {
			return nil, fmt.Errorf("--formats: %s is data for a program of your own, and no file of a kit; make it picture by picture with `backporch render PATTERN --format %s`", name, name)
		}
		f, err := format.Resolve(format.Choice{Name: name})
		if err != nil {
			return nil, fmt.Errorf("--formats: %w", err)
		}
		if slices.Contains(list, f.Name) {
			return nil, fmt.Errorf("--formats: %s stands twice; name it once", f.Name)
		}
		if q.Device != nil && !slices.Contains(q.Device.Formats, f.Name) {
			return nil, fmt.Errorf("--formats: device %s does not read %s; it reads %s", q.Device.Name, f.Name, strings.Join(q.Device.Formats, ", "))
		}
		if other := by[f.Extension]; other != "" {
			return nil, fmt.Errorf("--formats: %s and %s both write files named %s; make a kit for each", other, f.Name, f.Extension)
		}
		by[f.Extension] = f.Name
		list = append(list, f.Name)
	}
	return list, nil
}

// longestExtension is that of the formats of the kit, in characters.
func longestExtension(formats []string) (n int) {
	for _, name := range formats {
		if f, err := format.Resolve(format.Choice{Name: name}); err == nil {
			n = max(n, len(f.Extension))
		}
	}
	return n
}

// usualFormats are a picture and a video: those that the device reads first.
func (q *Request) usualFormats() ([]string, error) {
	if q.Device == nil {
		return []string{"png", "y4m"}, nil
	}
	var picture, video string
	for _, name := range q.Device.Formats {
		f, err := format.Resolve(format.Choice{Name: name})
		switch {
		case err != nil: // data for programs, which a kit does not hold
		case f.Stream && video == "":
			video = f.Name
		case !f.Stream && picture == "":
			picture = f.Name
		}
	}
	var list []string
	for _, name := range []string{picture, video} {
		if name != "" {
			list = append(list, name)
		}
	}
	if len(list) == 0 {
		return nil, fmt.Errorf("device %s reads no pictures or videos that a kit can hold, only %s; write its data with `backporch render PATTERN --device %s`",
			q.Device.Name, strings.Join(q.Device.Formats, ", "), q.Device.Name)
	}
	return list, nil
}

// checkIdent refuses a caption that no picture can have: one on a flat field
// always has room.
func (q *Request) checkIdent() (err error) {
	if q.Ident == "" {
		return nil
	}
	v := q.Variants[0]
	job := render.Request{Raster: v.Raster, Edges: q.Edges, Aspect: q.Aspect, Plan: v.Plan, Clip: true, Ident: q.Ident, Frames: 1, Spec: "flat color=gray-50"}
	if job.Pattern, err = pattern.Parse(job.Spec); err != nil {
		return err
	}
	if job.Format, err = format.Resolve(format.Choice{Name: "png"}); err != nil {
		return err
	}
	if _, err = job.Layout(); err != nil {
		return fmt.Errorf("--%w", err)
	}
	return nil
}

// layout lays an item out for a format. bare says why it has no caption though
// one was asked for.
func (r *run) layout(it item, c format.Choice, d *device.Profile) (job *render.Job, bare string, err error) {
	f, err := format.Resolve(c)
	if err != nil {
		return nil, "", err
	}
	q := render.Request{
		Pattern: it.Pattern, Spec: it.Spec, Raster: r.Raster, Edges: r.Edges, Aspect: r.Aspect, Single: r.Single,
		Plan: r.Plan, Device: d, Dither: r.Dither, Clip: r.Clip, Ident: r.Ident, Format: f, Frames: 1, Tags: [][2]string{{"Software", r.Program}},
	}
	job, err = q.Layout()
	if err != nil && r.Ident != "" {
		q.Ident = ""
		if again, err2 := q.Layout(); err2 == nil {
			job, bare, err = again, err.Error(), nil
		}
	}
	if err != nil {
		return nil, "", fmt.Errorf("%s: %w", it.Spec, err)
	}
	if f.Stream {
		job.Frames = r.frames(job.Scene.Period)
	}
	return job, bare, nil
}

// maxSeconds is the most that a video of a moving picture lasts unless longer
// ones are asked for.
const maxSeconds = 2

// frames is the length of a video: of a still what was asked for; of what
// moves whole periods, at least as long.
func (r *run) frames(period int) int {
	asked := max(1, r.Frames)
	if period <= 1 {
		return asked
	}
	if asked == 1 {
		rate := r.Raster.FrameRate()
		return min(period, int(maxSeconds*rate.Num/rate.Den))
	}
	return (asked + period - 1) / period * period
}

// video lays a Y4M video out: in 4:2:0 where nothing is lost by it, since
// chroma is the same all over the picture and in every frame; that is a quarter
// smaller, and every player reads it. All others are 4:2:2.
func (r *run) video(it item) (job *render.Job, bare string, err error) {
	if job, bare, err = r.layout(it, format.Choice{Name: "y4m"}, r.Device); err != nil {
		return nil, "", err
	}
	for n := range min(job.Frames, max(1, job.Scene.Period)) {
		f, err := job.Frame(n)
		if err != nil {
			return nil, "", err
		}
		if !plainChroma(f) {
			return job, bare, nil
		}
	}
	small, _, err := r.layout(it, format.Choice{Name: "y4m", Chroma: "420"}, r.Device)
	if err != nil {
		return job, bare, nil // a raster that cannot have 4:2:0, such as 486i
	}
	return small, bare, nil
}

// plainChroma reports whether a frame has one value all over of each of CB and
// CR.
func plainChroma(f *frame.Frame) bool {
	for _, c := range []colorimetry.Component{colorimetry.CB, colorimetry.CR} {
		p := f.Planes[c]
		for _, row := range p.Rows {
			for _, v := range row {
				if v != p.Rows[0][0] {
					return false
				}
			}
		}
	}
	return true
}

// samePatches reports whether two jobs have the same patches in the same order.
func samePatches(a, b *pattern.Scene) bool {
	return slices.EqualFunc(a.Patches, b.Patches, func(x, y pattern.Patch) bool { return x.Name == y.Name })
}
