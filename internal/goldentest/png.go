package goldentest

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// PNG compares a picture with golden/<name>, whose name ends in .png, pixel
// by pixel after decoding: the compressed bytes and the kind of color model
// do not matter, each color at 16 bits does. With -update a file whose pixels
// are the same already stays as it is.
func PNG(t testing.TB, name string, got image.Image) {
	t.Helper()
	if err := golden(t).png(name, got); err != nil {
		t.Error(err)
	}
}

func (s store) png(name string, got image.Image) error {
	stem, ok := strings.CutSuffix(name, ".png")
	if !ok {
		return fmt.Errorf("golden/%s: the name of a picture ends in .png", name)
	}
	want, err := s.readPNG(name)
	var diff error
	if err == nil {
		diff = comparePixels(got, want)
		if diff == nil {
			return nil
		}
	}
	var b bytes.Buffer
	e := png.Encoder{CompressionLevel: png.BestCompression}
	if err := e.Encode(&b, got); err != nil {
		return fmt.Errorf("golden/%s: %w", name, err)
	}
	if s.update {
		return s.write(name, b.Bytes())
	}
	gotName := stem + ".got.png"
	if werr := s.write(gotName, b.Bytes()); werr != nil {
		return werr
	}
	if err != nil {
		return err
	}
	return fmt.Errorf("golden/%s: %w; see %s", name, diff, gotName)
}

func (s store) readPNG(name string) (image.Image, error) {
	f, err := os.Open(filepath.Join(s.dir, name))
	if errors.Is(err, os.ErrNotExist) {
		_, err = s.read(name) // for the error that says how to make it
		return nil, err
	}
	if err != nil {
		return nil, err
	}
	defer f.Close()
	m, err := png.Decode(f)
	if err != nil {
		return nil, fmt.Errorf("golden/%s: %w", name, err)
	}
	return m, nil
}

// comparePixels says how many pixels differ, and the first of them. Pictures
// are compared from their own corners on.
func comparePixels(got, want image.Image) error {
	g, w := got.Bounds(), want.Bounds()
	if g.Size() != w.Size() {
		return fmt.Errorf("size is %d x %d, want %d x %d", g.Dx(), g.Dy(), w.Dx(), w.Dy())
	}
	n := 0
	var first error
	for y := range g.Dy() {
		for x := range g.Dx() {
			a := rgba64(got.At(g.Min.X+x, g.Min.Y+y))
			b := rgba64(want.At(w.Min.X+x, w.Min.Y+y))
			if a == b {
				continue
			}
			if n++; n == 1 {
				first = fmt.Errorf("first at (%d, %d): got %v, want %v", x, y, a, b)
			}
		}
	}
	if n == 0 {
		return nil
	}
	return fmt.Errorf("%d of %d pixels differ, %w (R G B A of 65535)", n, g.Dx()*g.Dy(), first)
}

func rgba64(c color.Color) [4]uint32 {
	r, g, b, a := c.RGBA()
	return [4]uint32{r, g, b, a}
}
