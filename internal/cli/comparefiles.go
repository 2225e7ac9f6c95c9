package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/compare"
	"backporch/internal/device"
	"backporch/internal/encode/pngfile"
	"backporch/internal/output"
	"backporch/internal/table"
	"backporch/pattern/frame"
)

// writeFiles writes a folder with the picture of each variant, and compare.json
// with the numbers and the list of files: all of it or nothing.
func (o *compareOptions) writeFiles(ctx context.Context, res *compare.Result) error {
	if err := res.InFiles(); err != nil {
		return usagef("--files: %v", err)
	}
	o.Files = filepath.Clean(o.Files)
	set, err := output.NewFolder(ctx, o.Files, o.Force, output.Manifest{Name: "compare.json", Schema: "backporch/compare/1"})
	if err != nil {
		return folderFlag(err)
	}
	defer set.Abort()
	dev, err := o.device() // read already
	if err != nil {
		return &usageError{err: err}
	}
	raster := res.View.Shown
	shape := raster.ShapeOn(res.Aspect)
	var clipped []string
	files := &table.Table{Name: "files", Columns: []table.Column{{Name: "Name"}, {Name: "Variant"}}}
	for i := range res.Outcomes {
		v := &res.Outcomes[i]
		name := fmt.Sprintf("%s-%02d-%s.png", compareName(res), i+1, slug(v.Name))
		var b bytes.Buffer
		if err := encodeFor(dev, &b, res.Frame(v), pngfile.Meta{Shape: shape, Text: [][2]string{
			{"Pattern", res.Spec}, {"Raster", raster.Name}, {"Variant", latin(v.Name)}, {"Software", "backporch " + Version},
		}}); err != nil {
			return err
		}
		if err := set.WriteFile(name, b.Bytes()); err != nil {
			return err
		}
		files.Add(name, v.Name)
		if l := res.Clipped(v); len(l) > 0 {
			clipped = append(clipped, fmt.Sprintf("clipped at white in the file: %s (%s)", strings.Join(l, ", "), v.Name))
		}
	}
	rec := res.Record()
	rec.Tables = append(rec.Tables, files)
	rec.Notes = append(rec.Notes, clipped...)
	var b bytes.Buffer
	if err := rec.Write(&b, table.JSON, 0); err != nil {
		return err
	}
	if err := set.WriteFile("compare.json", b.Bytes()); err != nil {
		return err
	}
	if err := set.Commit(); err != nil {
		return err
	}
	for _, line := range clipped {
		fmt.Fprintln(o.Err, line)
	}
	if dev != nil && dev.Pixels() {
		fmt.Fprintf(o.Err, "note: the pictures hold the nearest colors that %s has; differences smaller than its steps are lost\n", dev.Name)
	}
	return nil
}

// encodeFor writes a PNG, in the nearest colors of a device that has its own.
func encodeFor(dev *device.Profile, w io.Writer, f *frame.Frame, m pngfile.Meta) error {
	if dev == nil || !dev.Pixels() {
		return pngfile.Encode(w, f, colorimetry.RGB8, m)
	}
	x, err := dev.Quantize(f)
	if err != nil {
		return err
	}
	return pngfile.EncodeIndexed(w, x, m)
}

// folderFlag writes a way out that names -o with the flag that was used.
func folderFlag(err error) error {
	if text := err.Error(); strings.Contains(text, " with -o") {
		return errors.New(strings.ReplaceAll(text, " with -o", " with --files"))
	}
	return err
}

// slug is a name as part of a file name. Signs become words, so that -5 and +5
// differ.
func slug(s string) string {
	s = strings.NewReplacer(" +", " plus ", " -", " minus ").Replace(" " + strings.ToLower(s))
	var b strings.Builder
	for _, r := range s {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '.':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	return strings.Trim(b.String(), "-")
}

// latin drops what a text chunk of a PNG cannot hold.
func latin(s string) string {
	return strings.Map(func(r rune) rune {
		if r > 0xff {
			return -1
		}
		return r
	}, s)
}
