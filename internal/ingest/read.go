// Package ingest turns a file of pictures into the real numbers of a frame, and
// puts that frame on the lattice of a signal: what a player would send out that
// shows the file one to one.
//
// It reads the first picture of YUV4MPEG2, PNG, BMP, BT.656 and raw frames. The
// file must have the samples and rows of a raster, since nothing else says
// where on the line its samples lie.
package ingest

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"
	"path"
	"slices"
	"strings"

	"golang.org/x/image/bmp"

	"backporch/colorimetry"
	"backporch/internal/encode/bt656"
	"backporch/internal/encode/y4m"
	"backporch/internal/format"
	"backporch/internal/pixfmt"
	"backporch/pattern/frame"
	"backporch/timing"
)

// Options say what a file does not say itself.
type Options struct {
	Raster *timing.Raster // nil: the first that has the size and the order of fields
	Studio bool           // R'G'B' is of studio range, else of full range
}

// A Picture is a picture out of a file, in the samples of the file.
type Picture struct {
	Raster *timing.Raster
	planes [3]frame.Plane // a row for each row of the raster
	step   [3]int         // luma samples to one of the plane
	first  [3]float64     // its sample 0, in luma samples
}

// Read reads the first picture of a file, whose name says the format. Errors do
// not name the file.
func Read(name string, r io.Reader, o Options) (*Picture, error) {
	kind, err := format.ForPath(name)
	if err != nil {
		return nil, fmt.Errorf("extension %q is of no known format; use one of %s", path.Ext(name), strings.Join(format.Names(), " "))
	}
	switch kind {
	case "y4m":
		return readY4M(r, o)
	case "png":
		return readImage(r, o, png.DecodeConfig, png.Decode)
	case "bmp":
		return readImage(r, o, bmp.DecodeConfig, bmp.Decode)
	case "bt656":
		return readBT656(r, o)
	}
	return readRaw(kind, r, o)
}

// fit returns the raster of a picture of that size; order is 'p', 't', 'b' or
// '?' as in YUV4MPEG2.
func (o Options) fit(width, height int, order byte) (*timing.Raster, error) {
	if r := o.Raster; r != nil {
		if r.Width != width || r.Height() != height {
			return nil, fmt.Errorf("the picture is %d x %d samples, and raster %s has %d x %d; leave the raster out, or name another", width, height, r.Name, r.Width, r.Height())
		}
		return r, nil
	}
	var sizes []string
	var found *timing.Raster
	for _, r := range timing.Rasters() {
		if size := fmt.Sprintf("%d x %d", r.Width, r.Height()); !slices.Contains(sizes, size) {
			sizes = append(sizes, size)
		}
		if r.Width != width || r.Height() != height {
			continue
		}
		if y4m.InterlaceOf(r.Order()) == order {
			return r, nil
		}
		if found == nil {
			found = r
		}
	}
	if found == nil {
		return nil, fmt.Errorf("the picture is %d x %d samples, which no raster has; a picture for one has %s", width, height, strings.Join(sizes, ", "))
	}
	return found, nil
}

func readY4M(r io.Reader, o Options) (*Picture, error) {
	z, err := y4m.NewReader(r)
	if err != nil {
		return nil, err
	}
	if z.Header.Range == "FULL" {
		return nil, y4m.UnsupportedError("full-range Y'CbCr; convert it to limited range")
	}
	raster, err := o.fit(z.Header.Width, z.Header.Height, z.Header.Interlace)
	if err != nil {
		return nil, err
	}
	c, err := z.Next()
	if errors.Is(err, io.EOF) {
		return nil, y4m.FormatError("there is no frame behind the header")
	}
	if err != nil {
		return nil, err
	}
	k := colorimetry.YCbCr8
	if strings.HasSuffix(z.Header.Chroma, "p10") {
		k = colorimetry.YCbCr10
	}
	p := fromCodes(c, k, raster)
	if z.Header.Chroma == "420jpeg" { // midway between two luma samples
		p.first[1], p.first[2] = 0.5, 0.5
	}
	return p, nil
}

// readImage reads R'G'B' of 8 bits, or of 16 where the file has more.
func readImage(r io.Reader, o Options, config func(io.Reader) (image.Config, error), decode func(io.Reader) (image.Image, error)) (*Picture, error) {
	// The size first: a header can claim any, and the memory for it.
	var head bytes.Buffer
	c, err := config(io.TeeReader(r, &head))
	if err != nil {
		return nil, err
	}
	raster, err := o.fit(c.Width, c.Height, '?')
	if err != nil {
		return nil, err
	}
	m, err := decode(io.MultiReader(&head, r))
	if err != nil {
		return nil, err
	}
	return fromImage(m, raster, o.Studio), nil
}

// fromImage takes a picture of the size of the raster.
func fromImage(m image.Image, raster *timing.Raster, isStudio bool) *Picture {
	b := m.Bounds()
	shift, k, studio := 8, colorimetry.RGB8, colorimetry.RGB8Studio
	switch m.(type) {
	case *image.RGBA64, *image.NRGBA64, *image.Gray16:
		shift, k, studio = 0, colorimetry.RGB16, colorimetry.RGB16Studio
	}
	if isStudio {
		k = studio
	}
	c := pixfmt.NewCodes(b.Dx(), b.Dy(), 1, 1)
	for y := range b.Dy() {
		for x := range b.Dx() {
			red, green, blue, _ := m.At(b.Min.X+x, b.Min.Y+y).RGBA()
			at := y*b.Dx() + x
			c.Planes[0][at], c.Planes[1][at], c.Planes[2][at] = uint16(red>>shift), uint16(green>>shift), uint16(blue>>shift)
		}
	}
	return fromCodes(c, k, raster)
}

func readBT656(r io.Reader, o Options) (*Picture, error) {
	src, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	k := colorimetry.YCbCr8
	s, err := bt656.Read(src, 8)
	if err != nil {
		k = colorimetry.YCbCr10
		if s, err = bt656.Read(src, 10); err != nil {
			return nil, err
		}
	}
	raster := o.Raster
	if raster == nil {
		return nil, errors.New("a BT.656 stream holds every line; name the raster with --raster, which says what of them is the picture")
	}
	c, err := s.Picture(raster, 0)
	if err != nil {
		return nil, err
	}
	return fromCodes(c, k, raster), nil
}

func readRaw(kind string, r io.Reader, o Options) (*Picture, error) {
	raster := o.Raster
	if raster == nil {
		return nil, errors.New("raw frames do not say their size; name the raster with --raster")
	}
	f, err := format.Resolve(format.Choice{Name: kind})
	if err != nil {
		return nil, err
	}
	l := pixfmt.Lookup(kind)
	src := make([]byte, l.Size(raster.Width, raster.Height()))
	n, err := io.ReadFull(r, src)
	if err != nil {
		return nil, fmt.Errorf("a frame of raster %s in %s has %d bytes, and there are %d", raster.Name, kind, len(src), n)
	}
	c, err := l.Unpack(src, raster.Width, raster.Height())
	if err != nil {
		return nil, err
	}
	k := f.Coding
	if o.Studio && kind == "rgb24" {
		k = colorimetry.RGB8Studio
	}
	return fromCodes(c, k, raster), nil
}
