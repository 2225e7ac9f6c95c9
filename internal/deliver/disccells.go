package deliver

import (
	"context"
	"crypto/sha256"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// cells reads every cell of the videos and compares what they carry with the
// streams that were proved.
func (d *Disc) cells(ctx context.Context, p *DiscProof, folder string, t *discTitle) error {
	v, err := openVideos(folder)
	if err != nil {
		return err
	}
	defer v.close()
	got := make([]*discPacks, len(d.Jobs))
	for i := range got {
		if err := ctx.Err(); err != nil {
			return context.Cause(ctx)
		}
		got[i] = &discPacks{}
		if i < len(t.Cells) {
			c := t.Cells[i]
			if got[i], err = readPacks(v.sectors(c.First, c.Last), c.First); err != nil {
				return fmt.Errorf("program %d of the disc: %w", i+1, err)
			}
		}
	}
	compare := func(name, want string, say func(got, sent *discPacks, j *Job) string) {
		p.check(name, want, each(len(got), want, func(i int) string {
			if s := say(got[i], p.Pictures[i].packs, d.Jobs[i]); s != "" {
				return s
			}
			return want
		}))
	}
	compare("video bytes", "those of the proved streams", func(g, s *discPacks, _ *Job) string {
		if g.Video == s.Video && g.VideoBytes > 0 {
			return ""
		}
		return fmt.Sprintf("%d bytes, not the same %d", g.VideoBytes, s.VideoBytes)
	})
	compare("sound bytes", "those of the proved streams", func(g, s *discPacks, _ *Job) string {
		if g.Audio == s.Audio && (g.AudioBytes > 0) == (d.Audio != NoAudio) {
			return ""
		}
		return fmt.Sprintf("%d bytes, not the same %d", g.AudioBytes, s.AudioBytes)
	})
	pictures := "one for each frame"
	if d.Still {
		pictures = "one, which leans on no other"
	}
	compare("coded pictures", pictures, func(g, _ *discPacks, j *Job) string {
		if g.Pictures == j.Frames && (!d.Still || g.Intra == 1) && g.Intra > 0 {
			return ""
		}
		return fmt.Sprintf("%d, %d of them by themselves, for %d frames", g.Pictures, g.Intra, j.Frames)
	})
	compare("groups of pictures", "each is closed", func(g, _ *discPacks, _ *Job) string {
		if g.Groups > 0 && g.Closed == g.Groups {
			return ""
		}
		return fmt.Sprintf("%d of %d are not", g.Groups-g.Closed, g.Groups)
	})
	compare("navigation packs", "each knows its sector", func(g, _ *discPacks, _ *Job) string {
		if g.Units > 0 && g.Misplaced == 0 {
			return ""
		}
		return fmt.Sprintf("%d, %d of them wrong", g.Units, g.Misplaced)
	})
	return nil
}

// discVideos are the VOB files of the title as one.
type discVideos struct {
	files []*os.File
	sizes []int64
}

func openVideos(folder string) (*discVideos, error) {
	v := &discVideos{}
	for i := 1; i <= 9; i++ {
		f, err := os.Open(filepath.Join(folder, fmt.Sprintf("VTS_01_%d.VOB", i)))
		if i > 1 && os.IsNotExist(err) {
			break
		}
		if err != nil {
			v.close()
			return nil, err
		}
		v.files = append(v.files, f)
		info, err := f.Stat()
		if err != nil {
			v.close()
			return nil, err
		}
		v.sizes = append(v.sizes, info.Size())
	}
	return v, nil
}

func (v *discVideos) close() {
	for _, f := range v.files {
		_ = f.Close()
	}
}

// sectors reads from the first to the last.
func (v *discVideos) sectors(first, last uint32) io.Reader {
	from, to := int64(first)*discSector, (int64(last)+1)*discSector
	var parts []io.Reader
	begin := int64(0)
	for i, f := range v.files {
		end := begin + v.sizes[i]
		if a, b := max(from, begin), min(to, end); a < b {
			parts = append(parts, io.NewSectionReader(f, a-begin, b-a))
		}
		begin = end
	}
	return io.MultiReader(parts...)
}

// check compares what an image lists, on both sides, and holds with the
// folder.
func (im *discImage) check(ctx context.Context, p *DiscProof, image io.ReaderAt, sums map[string]string) error {
	want := map[string]imageEntry{"AUDIO_TS/": {}, "VIDEO_TS/": {}}
	for _, f := range im.Files {
		want["VIDEO_TS/"+f.Name] = imageEntry{f.Sector, f.Size}
	}
	for _, side := range []struct {
		name string
		read func(io.ReaderAt) (map[string]imageEntry, string, error)
	}{{"ISO 9660", readISO}, {"UDF", readUDF}} {
		files, volume, err := side.read(image)
		said := fmt.Sprintf("%d files in their places", len(im.Files))
		got := said
		switch {
		case err != nil:
			got = err.Error()
		case len(files) != len(want):
			got = fmt.Sprintf("%d names", len(files))
		default:
			for name, e := range want {
				if files[name] != e {
					got = fmt.Sprintf("%s: %d bytes at sector %d", name, files[name].Size, files[name].Sector)
				}
			}
		}
		p.check("image, "+side.name, said, got)
		p.check("image, name in "+side.name, im.Volume, volume)
	}
	bad := ""
	for _, f := range im.Files {
		if err := ctx.Err(); err != nil {
			return context.Cause(ctx)
		}
		h := sha256.New()
		if _, err := io.Copy(h, io.NewSectionReader(image, int64(f.Sector)*discSector, f.Size)); err != nil {
			return err
		}
		if fmt.Sprintf("%x", h.Sum(nil)) != sums["VIDEO_TS/"+f.Name] {
			bad = f.Name + " differs"
		}
	}
	if bad == "" {
		bad = "the bytes of the folder"
	}
	p.check("image, content", "the bytes of the folder", bad)
	return nil
}
