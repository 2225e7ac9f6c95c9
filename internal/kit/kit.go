// Package kit makes the main thing that the program makes: a folder or an
// archive that holds the whole catalogue for a raster, a setup and a playing
// device, or for several of them: each pattern as a picture and as a video,
// with pages that say in which order to use them, what each is for and what it
// must read.
//
// The same request gives the same bytes: nothing in a kit depends on the time,
// the name of the folder or archive, nor on whether the processor fuses
// multiplications and additions. Compressed bytes, in PNG pictures and
// archives, are those of the compressor of the Go version that built the
// program.
package kit

import (
	"context"
	"errors"
	"fmt"
	"io"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"

	"backporch/colorimetry"
	"backporch/internal/device"
	"backporch/internal/output"
	"backporch/pattern"
	"backporch/timing"
)

// Manifest is how a folder made here is recognized.
var Manifest = output.Manifest{Name: "kit.json", Schema: "backporch/kit/1"}

// A Request is one kit to make.
type Request struct {
	Dir   string // folder, or the archive's file name; "-" for an archive on Out
	Force bool
	Zip   bool      // write one archive instead of a folder
	Root  string    // of an archive: the folder that all of it lies in
	Out   io.Writer // standard output

	Device   *device.Profile // that plays it; nil: none in particular
	Variants []Variant       // at least one
	Patterns []string        // groups, names and spellings; empty: all
	Formats  []string        // by name; empty: those that the device reads, or a PNG picture and a Y4M video
	Edges    pattern.Edges
	Aspect   timing.Ratio // of the screen, 4/3 or 16/9
	Single   bool         // horizontal lines of one row
	Clip     bool         // accept levels that a plan puts out of reach
	Dither   bool         // spread the errors of a device's colors over pixels
	Ident    string       // caption of every picture that has room for it
	Program  string       // name and version, for the files

	// Progress, if not nil, is called after each pattern is done, from several
	// goroutines.
	Progress func(done, total int)
}

// A Variant is one raster with one plan of levels. Where there are several,
// each has a folder of its own.
type Variant struct {
	Raster *timing.Raster
	Plan   colorimetry.Plan
	Setup  string // as it was asked for: as-player, 0 or 7.5
	Frames int    // of each video, at least; 1: a still once, what moves one period
}

// A Result says what was made.
type Result struct {
	Files   int
	Bytes   int64 // of all files, before an archive packs them
	Absent  int   // patches that the pictures cannot hold, and no file beside them can
	Video   int   // patches that the pictures cannot hold, and the videos can
	Clipped int   // patches that a plan or the device puts out of reach, in all files
	Bare    int   // pictures that have no room for the caption
	Beyond  int   // patches that the device shows beyond the limits
}

// Make makes the kit. It appears when it is complete, or not at all.
func Make(ctx context.Context, q Request) (*Result, error) {
	runs, err := q.runs()
	if err != nil {
		return nil, &RequestError{err}
	}
	if q.Zip {
		return q.archive(ctx, runs)
	}
	set, err := output.NewFolder(ctx, q.Dir, q.Force, Manifest)
	if err != nil {
		return nil, err
	}
	defer set.Abort()
	res, err := q.write(ctx, runs, set.Create, runtime.GOMAXPROCS(0))
	if err != nil {
		return nil, err
	}
	return res, set.Commit()
}

// A RequestError is a request that cannot be: the words of a list, or a caption.
type RequestError struct{ Err error }

// Error implements error.
func (e *RequestError) Error() string { return e.Err.Error() }

// Unwrap returns the reason.
func (e *RequestError) Unwrap() error { return e.Err }

// A creator starts a file of the kit. Names have forward slashes.
type creator func(name string) (io.WriteCloser, error)

// runs prepares the variants, in order.
func (q *Request) runs() ([]*run, error) {
	short, longest := false, 0
	if q.Device != nil {
		short, longest = q.Device.ShortNames, q.Device.NameLength
	}
	items, err := itemsOf(q.Patterns, short || longest > 0 && longest <= shortName)
	if err != nil {
		return nil, err
	}
	formats, err := q.formats()
	if err != nil {
		return nil, err
	}
	if longest > 0 {
		for i := range items {
			items[i].Slug = strings.TrimRight(items[i].Slug[:min(len(items[i].Slug), max(2, longest-longestExtension(formats)))], "-")
		}
	}
	if err := q.checkIdent(); err != nil {
		return nil, err
	}
	var runs []*run
	taken := map[string]bool{}
	for i, v := range q.Variants {
		r := &run{Request: q, Variant: v, items: items, formats: formats}
		if len(q.Variants) > 1 {
			r.folder = v.folder(i+1, short)
			if taken[r.folder] {
				return nil, fmt.Errorf("raster %s with setup %s is asked for twice; name it once", v.Raster.Name, v.Setup)
			}
			taken[r.folder] = true
		}
		runs = append(runs, r)
	}
	return runs, nil
}

// shortName is the length of a name of 8 and 3 characters with its dot.
const shortName = 12

// folder is the name of a variant's own folder.
func (v *Variant) folder(n int, short bool) string {
	setup := "setup-" + v.Setup
	if v.Setup == "" || v.Setup == "as-player" {
		setup = "as-player"
	}
	if short {
		return shortSlug(n, v.Raster.Name)
	}
	return slug(v.Raster.Name + "-" + setup)
}

// write writes all files with so many workers.
func (q *Request) write(ctx context.Context, runs []*run, create creator, workers int) (*Result, error) {
	res := &Result{}
	total := 0
	for _, r := range runs {
		total += len(r.items)
	}
	var listed []madeFile // of all folders, for the manifest on top
	done := 0
	for _, r := range runs {
		files, err := r.write(ctx, create, workers, res, func(n int) {
			if q.Progress != nil {
				q.Progress(done+n, total)
			}
		})
		if err != nil {
			return nil, err
		}
		done += len(r.items)
		for _, f := range files {
			f.Name = r.path(f.Name)
			listed = append(listed, f)
		}
	}
	if len(runs) > 1 {
		files, err := q.top(runs, listed, create)
		if err != nil {
			return nil, err
		}
		listed = append(listed, files...)
	}
	for _, f := range listed {
		res.Files++
		res.Bytes += f.Bytes
	}
	return res, nil
}

// parallel runs n parts with so many workers and returns the first error. done
// is called after each with the number of those that are ready.
func (q *Request) parallel(ctx context.Context, n, workers int, done func(int), part func(i int) error) error {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	var next, ready atomic.Int64
	var wg sync.WaitGroup
	for range min(n, workers) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < n && ctx.Err() == nil; i = int(next.Add(1)) - 1 {
				if err := part(i); err != nil {
					cancel(&partError{err})
					return
				}
				done(int(ready.Add(1)))
			}
		})
	}
	wg.Wait()
	var failed *partError
	switch cause := context.Cause(ctx); {
	case cause == nil:
		return nil
	case errors.As(cause, &failed):
		return failed.err
	default:
		return &output.InterruptedError{Path: q.Dir, Left: "what stood under that name is as it was", Err: cause}
	}
}

// A partError tells a part that failed from an interrupt.
type partError struct{ err error }

func (e *partError) Error() string { return e.err.Error() }
