package cli

import (
	"context"
	"encoding/json"
	"fmt"
	"path/filepath"

	"backporch/internal/deliver"
	"backporch/internal/ffmpeg"
	"backporch/internal/kit"
	"backporch/internal/output"
	"backporch/internal/table"
	"backporch/pattern"
)

// deliverManifest is how a folder of files for players is recognized.
var deliverManifest = output.Manifest{Name: "deliver.json", Schema: "backporch/deliver/1"}

// A delivered is one file of the folder.
type delivered struct {
	choice kit.Choice
	job    *deliver.Job
	proof  *deliver.Proof
}

// runKit makes a folder with a file of every pattern.
func (o *deliverOptions) runKit(ctx context.Context) error {
	var asked []string
	for _, p := range o.Patterns {
		asked = append(asked, list(p)...)
	}
	choices, err := kit.Choices(asked)
	if err != nil {
		return &usageError{err: err}
	}
	files := make([]delivered, len(choices))
	o.motion = new(deliver.Motion)
	var frames, total int
	for i, c := range choices {
		job, err := o.layout(c.Spec)
		if err != nil {
			return fmt.Errorf("%s: %w", c.Spec, err)
		}
		files[i] = delivered{choice: c, job: job}
		total += 2 * job.Frames
	}
	dir := o.Output
	if dir == "" {
		dir = "backporch-" + o.Target.Name + "-" + files[0].job.Raster.Name
	}
	tool, err := ffmpeg.Find(ctx)
	if err != nil {
		return err
	}
	set, err := output.NewFolder(ctx, dir, o.Force, deliverManifest)
	if err != nil {
		return err
	}
	defer set.Abort()
	bar := newProgress(o.Streams, "frames")
	defer bar.done()
	for i := range files {
		f := &files[i]
		name := f.choice.Slug + o.Target.Extension
		f.proof, err = o.make(ctx, tool, set, f.job, name, filepath.Join(dir, name), func(done, _ int) { bar.set(frames+done, total) })
		if err != nil {
			return err
		}
		if !f.proof.OK {
			bar.done()
			if err := o.print(f.proof); err != nil {
				return err
			}
			return fmt.Errorf("%s failed its proof (%s), so no folder was made", name, f.proof.Error())
		}
		frames += 2 * f.job.Frames
	}
	if err := set.WriteFile(deliverManifest.Name, deliverJSON(o.Target, files)); err != nil {
		return err
	}
	if err := set.Commit(); err != nil {
		return err
	}
	bar.done()
	return o.printKit(dir, files)
}

// deliverJSON is the manifest of the folder.
func deliverJSON(t *deliver.Target, files []delivered) []byte {
	type file struct {
		Name    string `json:"name"`
		Pattern string `json:"pattern,omitempty"`
		Step    string `json:"step,omitempty"`
		Proof   string `json:"proof,omitempty"`
	}
	m := struct {
		Schema string `json:"schema"`
		Target string `json:"target"`
		Raster string `json:"raster"`
		Files  []file `json:"files"`
	}{deliverManifest.Schema, t.Name, files[0].job.Raster.Name, nil}
	for _, f := range files {
		name := f.choice.Slug + t.Extension
		m.Files = append(m.Files, file{name, f.choice.Spec, f.choice.Step, name + ".json"}, file{Name: name + ".json"})
	}
	out, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		panic(err) // strings only
	}
	return append(out, '\n')
}

// printKit lists the files and what was found.
func (o *deliverOptions) printKit(dir string, files []delivered) error {
	t := &table.Table{Name: "delivered", Columns: []table.Column{
		{Name: "File"}, {Name: "Pattern"}, {Name: "Frames"}, {Name: "Levels"},
		{Name: "Farthest off", Unit: "codes", Decimals: 2}, {Name: "Proved"},
	}}
	flashing := false
	for _, f := range files {
		levels, off := 0, 0.0
		for _, p := range f.proof.Patches {
			if p.Level {
				levels, off = levels+1, max(off, p.Off)
			}
		}
		t.Add(f.choice.Slug+o.Target.Extension, f.choice.Spec, f.job.Frames, levels, off, f.proof.OK)
		if e, _, _, err := pattern.Resolve(f.choice.Spec); err == nil {
			flashing = flashing || e.Flashes
		}
	}
	flags := tableFlags{JSON: o.JSON}
	if err := flags.print(o.Streams, t); err != nil {
		return err
	}
	if !o.JSON {
		fmt.Fprintf(o.Out, "\n%s: %s, each proved; its proof stands beside it\n", dir, count(len(files), "file"))
	}
	for _, n := range files[0].job.Notes {
		fmt.Fprintf(o.Err, "note: %s\n", n)
	}
	fmt.Fprintln(o.Err, "caution: bright still pictures burn the phosphor; do not leave them on longer than the work needs")
	if flashing {
		fmt.Fprintln(o.Err, "caution: one of the files flashes over the whole picture, and others move or flicker; warn all who can see the screen")
	}
	return nil
}
