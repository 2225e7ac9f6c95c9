package kit

import (
	"archive/zip"
	"context"
	"io"
	"path"
	"strings"
	"time"

	"backporch/internal/output"
)

// archive writes the kit as one ZIP file. All entries have the same time, that
// of the format's beginning, and the same mode. The files are written one after
// the other, in order: an archive is a single stream, so it needs neither
// hidden files nor memory for whole videos.
func (q *Request) archive(ctx context.Context, runs []*run) (res *Result, err error) {
	err = output.File(ctx, q.Dir, q.Force, q.Out, func(w io.Writer) error {
		z := zip.NewWriter(w)
		create := func(name string) (io.WriteCloser, error) {
			h := &zip.FileHeader{Name: path.Join(q.Root, name), Method: zip.Deflate, Modified: zipEpoch}
			h.SetMode(0o644)
			if strings.HasSuffix(strings.ToLower(name), ".png") {
				h.Method = zip.Store // it is compressed already
			}
			f, err := z.CreateHeader(h)
			return entry{f}, err
		}
		if res, err = q.write(ctx, runs, create, 1); err != nil {
			return err
		}
		return z.Close()
	})
	if err != nil {
		return nil, err
	}
	return res, nil
}

// zipEpoch is the earliest time that a ZIP file can hold.
var zipEpoch = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

// An entry of an archive ends where the next one begins.
type entry struct{ io.Writer }

func (entry) Close() error { return nil }
