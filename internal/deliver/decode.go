package deliver

import (
	"bytes"
	"context"
	"fmt"

	"backporch/internal/ffmpeg"
	"backporch/internal/pixfmt"
)

// layout is how ffmpeg hands out the samples of the file.
func (j *Job) layout() *pixfmt.Layout {
	across, down := j.Format.Sampling(j.Raster).Step()
	return pixfmt.Planar(j.Format.Coding.Bits, across, down)
}

// decode hands each picture of a file, in the samples that it has, to each;
// height is that of what the filter makes, "" being none.
func decode(ctx context.Context, tool *ffmpeg.Tool, path, pixels, filter string, l *pixfmt.Layout, width, height int, each func(n int, raw []byte) error) error {
	args := []string{"-i", "file:" + path, "-map", "0:v:0"}
	if filter != "" {
		args = append(args, "-vf", filter)
	}
	args = append(args, "-fps_mode", "passthrough", "-pix_fmt", pixels, "-f", "rawvideo", "pipe:1")
	c := &cutter{size: l.Size(width, height), each: each}
	if err := tool.Run(ctx, nil, c, args...); err != nil {
		return err
	}
	if len(c.part) > 0 {
		return fmt.Errorf("the last picture of the file is not whole")
	}
	return nil
}

// A cutter cuts a stream into pieces of one size.
type cutter struct {
	size int
	n    int
	part []byte
	each func(n int, raw []byte) error
}

// Write implements io.Writer.
func (c *cutter) Write(p []byte) (int, error) {
	taken := len(p)
	for len(c.part)+len(p) >= c.size {
		k := c.size - len(c.part)
		raw := p[:k]
		if len(c.part) > 0 {
			raw = append(c.part, raw...)
		}
		if err := c.each(c.n, raw); err != nil {
			return 0, err
		}
		c.n, c.part, p = c.n+1, c.part[:0], p[k:]
	}
	c.part = append(c.part, p...)
	return taken, nil
}

// definition holds the codes that the pictures of a file must have, of which it
// keeps a few seconds.
type definition struct {
	job   *Job
	codes map[int]*pixfmt.Codes
}

// kept is how many pictures a definition keeps: some 60 MB.
const kept = 64

// frame returns the codes of frame n of the file.
func (d *definition) frame(n int) (*pixfmt.Codes, error) {
	n = (d.job.First + n) % max(1, d.job.Scene.Period)
	if c := d.codes[n]; c != nil {
		return c, nil
	}
	f, err := d.job.Frame(n)
	if err != nil {
		return nil, err
	}
	c := pixfmt.Round(f, d.job.Format.Coding)
	if d.codes == nil || len(d.codes) >= kept {
		d.codes = make(map[int]*pixfmt.Codes)
	}
	d.codes[n] = c
	return c, nil
}

// same tells whether a picture is the one before, byte by byte.
type same struct{ last []byte }

func (s *same) as(raw []byte) bool {
	if bytes.Equal(s.last, raw) {
		return true
	}
	s.last = append(s.last[:0], raw...)
	return false
}
