package cli

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"backporch/internal/encode/devicedata"
	"backporch/internal/output"
	"backporch/internal/render"
)

// runData writes a picture as memory images and source, together or not at
// all.
func (o *renderOptions) runData(ctx context.Context) error {
	if o.Output == output.Stdout {
		return usagef("%s is a set of files and cannot go to standard output; name them with -o", o.Format.Name)
	}
	job, err := o.layout()
	if err != nil {
		return err
	}
	dir, base := filepath.Split(o.Output)
	base = strings.TrimSuffix(base, filepath.Ext(base))
	if base == "" {
		base = o.baseName(job)
	}
	files, err := job.Files(base)
	if err != nil {
		return &usageError{err: err}
	}
	if err := o.writeData(ctx, dir, files); err != nil {
		return err
	}
	o.report(job)
	for _, n := range files.Notes {
		fmt.Fprintf(o.Err, "note: %s\n", n)
	}
	for _, f := range files.Files {
		fmt.Fprintf(o.Out, "%s: %d bytes\n", filepath.Join(dir, f.Name), len(f.Data))
	}
	fmt.Fprintln(o.Err, "note: This is data for a program of your own: a cartridge runs programs, not pictures.")
	return nil
}

func (o *renderOptions) writeData(ctx context.Context, dir string, files *devicedata.Set) error {
	set, err := output.NewFiles(ctx, dir, o.Force, files.Names()...)
	if err != nil {
		return err
	}
	defer set.Abort()
	for _, f := range files.Files {
		if err := set.WriteFile(f.Name, f.Data); err != nil {
			return err
		}
	}
	return named(set.Commit(), filepath.Join(dir, files.Files[0].Name))
}

// dataFormats are what --format takes beyond the formats of pictures.
var dataFormats = []string{render.Framebuffer, render.Tiles}
