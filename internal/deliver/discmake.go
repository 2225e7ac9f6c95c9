package deliver

import (
	"bufio"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"hash"
	"io"
	"os"
	"path/filepath"
	"syscall"

	"backporch/internal/ffmpeg"
	"backporch/internal/output"
	"backporch/internal/table"
)

// Make makes the disc and proves it. What is in the folder appears together, or
// not at all: a disc that is not as it must be is a *NotProvedError, and leaves
// nothing.
func (d *Disc) Make(ctx context.Context, tool *ffmpeg.Tool, author *Author) (*DiscProof, error) {
	set, err := output.NewFolder(ctx, d.Dir, d.Force, DiscManifest)
	if err != nil {
		return nil, err
	}
	defer set.Abort()
	work, err := set.Dir()
	if err != nil {
		return nil, err
	}
	if work, err = filepath.Abs(work); err != nil {
		return nil, err
	}
	p, err := d.build(ctx, tool, author, set, work)
	switch {
	case ctx.Err() != nil:
		return nil, set.Failed("", context.Cause(ctx))
	case err != nil:
		return nil, explainFull(set, err)
	case !p.OK():
		return p, &NotProvedError{p}
	}
	if err := d.describe(set, p); err != nil {
		return nil, err
	}
	return p, set.Commit()
}

// explainFull says of a full disk, whoever met it, what became of the disc; any
// other error stays.
func explainFull(set *output.Set, err error) error {
	var run *ffmpeg.RunError
	var author *AuthorError
	if errors.Is(err, syscall.ENOSPC) || errors.As(err, &run) && run.Full() || errors.As(err, &author) && author.Full() {
		return set.Failed("", syscall.ENOSPC)
	}
	return err
}

// build makes streams, folder and image, and proves each.
func (d *Disc) build(ctx context.Context, tool *ffmpeg.Tool, author *Author, set *output.Set, work string) (*DiscProof, error) {
	p := &DiscProof{
		Title: d.Title, Raster: d.Raster.Name, Image: d.ImageName(), Program: d.Program,
		Encoder: d.Jobs[0].Target.encoder + " of ffmpeg " + tool.Version, Still: d.Still, Notes: d.Notes,
	}
	total, done := 0, 0
	for _, j := range d.Jobs {
		total += 2 * j.Frames
	}
	for i, j := range d.Jobs {
		if err := d.stream(ctx, tool, p, work, i, func(n int) {
			if d.Progress != nil {
				d.Progress(done+n, total)
			}
		}); err != nil {
			return nil, fmt.Errorf("%s: %w", j.Spec, err)
		}
		done += 2 * j.Frames
	}
	if !p.OK() {
		return p, nil // before the rest, which takes its time
	}
	said, err := author.run(ctx, work, d)
	if err != nil {
		return nil, err
	}
	p.Author = "dvdauthor " + said.Version
	p.check("warnings of dvdauthor", "none", each(len(said.Warnings), "none", func(i int) string { return said.Warnings[i] }))
	folder := filepath.Join(work, "disc", "VIDEO_TS")
	manager, title, err := readNavigation(folder)
	if err != nil {
		return nil, err
	}
	d.navigation(p, manager, title)
	if err := d.cells(ctx, p, folder, title); err != nil {
		return nil, err
	}
	if !p.OK() {
		return p, nil
	}
	for i := range d.Jobs { // their bytes are in the folder now
		if err := os.Remove(filepath.Join(work, streamName(i))); err != nil {
			return nil, err
		}
	}
	return p, d.collect(ctx, set, p, folder)
}

// stream encodes a pattern and proves it; told is called with the frames done,
// twice as many in the end as it has.
func (d *Disc) stream(ctx context.Context, tool *ffmpeg.Tool, p *DiscProof, work string, i int, told func(n int)) error {
	j, path := d.Jobs[i], filepath.Join(work, streamName(i))
	j.progress = func(n, _ int) { told(n) }
	if err := j.Encode(ctx, tool, path); err != nil {
		return err
	}
	q := DiscPicture{Number: i + 1, Spec: j.Spec, Frames: j.Frames, Seconds: j.Seconds().Float64()}
	j.progress = func(n, _ int) { told(j.Frames + n) }
	var err error
	if q.Proof, err = j.Prove(ctx, tool, path); err != nil {
		return err
	}
	for _, a := range q.Proof.Patches {
		if a.Level {
			q.Off = max(q.Off, a.Off)
		}
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	if q.packs, err = readPacks(bufio.NewReaderSize(f, 1<<20), 0); err != nil {
		return err
	}
	info, err := f.Stat()
	if err != nil {
		return err
	}
	if p.streams += info.Size(); p.streams > discBytes {
		return discFull(p.streams)
	}
	q.Bytes = q.packs.VideoBytes
	p.Pictures = append(p.Pictures, q)
	return nil
}

// discFull says that a disc would hold too much.
func discFull(size int64) error {
	return fmt.Errorf("the disc would hold %.2f GB or more and one layer holds %.2f GB; choose fewer with --patterns, or fewer --seconds", float64(size)/1e9, float64(discBytes)/1e9)
}

// collect moves the files of the folder into the set and makes the image.
func (d *Disc) collect(ctx context.Context, set *output.Set, p *DiscProof, folder string) error {
	im, err := placeImage(folder, d.Title)
	if err != nil {
		return err
	}
	if size := int64(im.Total) * discSector; size > discBytes {
		return discFull(size)
	}
	sums := map[string]string{}
	for _, f := range im.Files {
		sum, err := sumOf(ctx, filepath.Join(folder, f.Name))
		if err != nil {
			return err
		}
		sums["VIDEO_TS/"+f.Name] = sum
		p.Files = append(p.Files, madeDiscFile{"VIDEO_TS/" + f.Name, f.Size, sum})
	}
	path, err := set.Path(p.Image)
	if err != nil {
		return err
	}
	sum, err := im.make(ctx, path, folder)
	if err != nil {
		return set.Failed(p.Image, err)
	}
	p.Files = append(p.Files, madeDiscFile{p.Image, int64(im.Total) * discSector, sum})
	image, err := os.Open(path)
	if err != nil {
		return err
	}
	defer image.Close()
	if err := im.check(ctx, p, image, sums); err != nil {
		return err
	}
	for _, f := range im.Files {
		path, err := set.Path("VIDEO_TS/" + f.Name)
		if err != nil {
			return err
		}
		if err := os.Rename(filepath.Join(folder, f.Name), path); err != nil {
			return err
		}
	}
	return set.Folder("AUDIO_TS") // empty: some players look for it (common practice)
}

// make writes the image and returns its sum.
func (im *discImage) make(ctx context.Context, path, folder string) (sum string, err error) {
	f, err := os.Create(path)
	if err != nil {
		return "", err
	}
	h := sha256.New()
	w := bufio.NewWriterSize(io.MultiWriter(f, h), 1<<20)
	err = im.write(ctx, w, folder)
	if err == nil {
		err = w.Flush()
	}
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	return fmt.Sprintf("%x", h.Sum(nil)), err
}

// sumOf is the SHA-256 of a file.
func sumOf(ctx context.Context, path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(&stoppable{ctx, h}, f); err != nil {
		return "", err
	}
	return fmt.Sprintf("%x", h.Sum(nil)), nil
}

// stoppable is a hash that stops with its context.
type stoppable struct {
	ctx context.Context
	hash.Hash
}

func (s *stoppable) Write(p []byte) (int, error) {
	if s.ctx.Err() != nil {
		return 0, context.Cause(s.ctx)
	}
	return s.Hash.Write(p)
}

// describe writes the lists for people and the proof, last of all.
func (d *Disc) describe(set *output.Set, p *DiscProof) error {
	l := d.list(p)
	page, err := l.html()
	if err != nil {
		return err
	}
	for _, f := range []struct {
		name string
		data []byte
	}{{"contents.html", page}, {"CONTENTS.TXT", l.text()}} {
		if err := set.WriteFile(f.name, f.data); err != nil {
			return err
		}
		p.Files = append(p.Files, madeDiscFile{f.name, int64(len(f.data)), fmt.Sprintf("%x", sha256.Sum256(f.data))})
	}
	w, err := set.Create(DiscManifest.Name)
	if err != nil {
		return err
	}
	return errors.Join(p.Document().Write(w, table.JSON, 0), w.Close())
}
