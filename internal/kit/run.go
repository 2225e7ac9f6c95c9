package kit

import (
	"context"
	"path"
	"slices"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/format"
	"backporch/internal/render"
)

// A run is one variant being made: a folder with pictures and pages.
type run struct {
	*Request
	Variant
	folder  string // "" when the kit has only one
	items   []item
	formats []string
	flashes bool // a level jumps in one of its videos
}

// path is where a file of the run lies in the kit.
func (r *run) path(name string) string { return path.Join(r.folder, name) }

// A laidOut item is ready to be written.
type laidOut struct {
	item
	jobs  []*render.Job // one for each format
	page  *render.Job   // the PNG picture that the page shows; one of jobs, if they have one
	words *render.Job   // whose patches are read: the video, or else the picture
	bare  string        // why it has no caption; "" if it has, or none was asked for
}

// A made item has its files written.
type made struct {
	item
	spots  []spot
	files  []madeFile
	notes  []string
	png    []byte // for the page
	pixels bool
	bare   string
	merge  string // which colors the device had no room for
}

// lay lays an item out in all formats.
func (r *run) lay(it item) (l laidOut, err error) {
	l.item = it
	for _, name := range r.formats {
		var job *render.Job
		if name == "y4m" {
			job, l.bare, err = r.video(it)
		} else {
			job, l.bare, err = r.layout(it, format.Choice{Name: name}, r.Device)
		}
		if err != nil {
			return l, err
		}
		l.jobs = append(l.jobs, job)
		if name == "png" {
			l.page = job
		}
		if l.words == nil && job.Format.Coding.Model == colorimetry.YCbCr {
			l.words = job
		}
	}
	if l.page == nil {
		d := r.Device
		if d != nil {
			reads := *d
			reads.Formats = append(slices.Clone(d.Formats), "png")
			d = &reads
		}
		q := *r.Request
		q.Clip = true // it is for the eye; what the files cannot hold they say themselves
		if l.page, _, err = (&run{Request: &q, Variant: r.Variant}).layout(it, format.Choice{Name: "png"}, d); err != nil {
			return l, err
		}
	}
	if l.words == nil {
		l.words = l.jobs[0]
	}
	return l, nil
}

// write writes the folder and adds to the result. It returns the files, named
// within the folder.
func (r *run) write(ctx context.Context, create creator, workers int, res *Result, done func(int)) ([]madeFile, error) {
	// All is laid out, in order, before anything is written: what cannot be is
	// found first, and always the same.
	list := make([]laidOut, len(r.items))
	for i, it := range r.items {
		var err error
		if list[i], err = r.lay(it); err != nil {
			return nil, err
		}
		if err := ctx.Err(); err != nil {
			break // parallel says so
		}
	}
	all := make([]*made, len(list))
	if err := r.parallel(ctx, len(list), workers, done, func(i int) (err error) {
		all[i], err = r.make(ctx, create, list[i])
		list[i] = laidOut{} // its frames are not needed again
		return err
	}); err != nil {
		return nil, err
	}
	var files []madeFile
	for _, m := range all {
		res.add(m)
		r.flashes = r.flashes || m.Entry.Flashes && !m.still()
		files = append(files, m.files...)
	}
	extra, err := r.pages(ctx, create, workers, all)
	return append(files, extra...), err
}

// add counts what a made item lacks.
func (res *Result) add(m *made) {
	absent, video := m.absent()
	res.Absent += len(absent)
	res.Video += len(video)
	for _, f := range m.files {
		res.Clipped += len(f.Lost.Clipped(true))
	}
	if m.bare != "" {
		res.Bare++
	}
	res.Beyond += m.beyond()
}

// make writes the files of an item.
func (r *run) make(ctx context.Context, create creator, l laidOut) (*made, error) {
	m := &made{item: l.item, notes: l.words.Scene.Notes, pixels: l.words.Pixels(), bare: l.bare}
	var err error
	if m.spots, m.merge, err = r.spots(l); err != nil {
		return nil, err
	}
	for _, job := range l.jobs {
		ext := job.Format.Extension
		f := madeFile{Name: r.fileName(l.item, ext), Format: job.Format, Frames: job.Frames, Period: max(1, job.Scene.Period), Lost: job.Lost}
		var keep *[]byte
		if job == l.page {
			keep = &m.png
		}
		if err := f.render(ctx, create, r.path, job, keep); err != nil {
			return nil, err
		}
		m.files = append(m.files, f)
	}
	if m.png == nil {
		if err := l.page.Write(ctx, appender{&m.png}); err != nil {
			return nil, err
		}
	}
	return m, nil
}

// still reports whether the pattern is one that can flash and yet stands.
func (m *made) still() bool { return m.Entry.Flashes && m.files[0].Period <= 1 }

// absent returns the patches that no file holds as they are defined, and those
// that a picture lacks and a file beside it holds.
func (m *made) absent() (absent, video render.LostList) {
	for _, f := range m.files {
		for _, l := range f.Lost.Clipped(false) {
			if slices.ContainsFunc(append(absent, video...), func(x render.Lost) bool { return x.Patch.Name == l.Patch.Name }) {
				continue
			}
			if slices.ContainsFunc(m.files, func(f madeFile) bool {
				return !slices.ContainsFunc(f.Lost, func(x render.Lost) bool { return x.Patch.Name == l.Patch.Name })
			}) {
				video = append(video, l)
			} else {
				absent = append(absent, l)
			}
		}
	}
	return absent, video
}

// fileName is that of a file of an item. Where names are short, capitals are
// all that the device may know.
func (r *run) fileName(it item, extension string) string {
	if r.Device != nil && r.Device.ShortNames {
		extension = strings.ToUpper(extension)
	}
	return it.Slug + extension
}
