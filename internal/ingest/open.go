package ingest

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"
	"path"
	"strings"

	"golang.org/x/image/bmp"

	"backporch/colorimetry"
	"backporch/internal/encode/bt656"
	"backporch/internal/encode/pngfile"
	"backporch/internal/encode/y4m"
	"backporch/internal/format"
	"backporch/internal/pixfmt"
	"backporch/timing"
)

// MaxSamples is the largest picture that is read, in samples.
const MaxSamples = 8192 * 8192

// Known reports whether Open reads files of that name.
func Known(name string) bool {
	_, err := format.ForPath(name)
	return err == nil
}

// Open opens a file of pictures of any size, whose name says the format: YUV4MPEG2,
// PNG, BMP, BT.656 or raw frames. The last two need a raster. Errors do not name
// the file.
func Open(name string, r io.Reader, o Options) (*Source, error) {
	kind, err := format.ForPath(name)
	if err != nil {
		return nil, fmt.Errorf("extension %q is of no known format; use one of %s", path.Ext(name), strings.Join(format.Names(), " "))
	}
	switch kind {
	case "y4m":
		return openY4M(r)
	case "png":
		return openImage(r, o, "PNG", png.DecodeConfig, png.Decode)
	case "bmp", "bmp24":
		return openImage(r, o, "BMP", bmp.DecodeConfig, bmp.Decode)
	case "bt656":
		return openBT656(r, o)
	}
	return openRaw(kind, r, o)
}

func openY4M(r io.Reader) (*Source, error) {
	z, err := y4m.NewReader(r)
	if err != nil {
		return nil, err
	}
	h := z.Header
	l, err := h.Layout()
	if err != nil {
		return nil, err
	}
	s := &Source{codes: z.Next, Info: Info{
		Width: h.Width, Height: h.Height, Order: h.Interlace, Rate: h.Rate, Shape: h.Shape,
		Across: l.Across, Down: l.Down, Kind: "YUV4MPEG2 " + h.Chroma,
	}}
	if h.Chroma == "420jpeg" { // midway between two luma samples
		s.first = 0.5
	}
	s.studio(l.Bits, h.Range == "FULL")
	return s, nil
}

// studio sets how Y'CbCr codes are read.
func (s *Source) studio(bits int, full bool) {
	if full {
		s.scale = fullRange(bits)
		s.Kind += ", full range"
		return
	}
	if s.Coding = colorimetry.YCbCr8; bits == 10 {
		s.Coding = colorimetry.YCbCr10
	}
	s.scale = scaleOf(s.Coding)
}

// openImage opens R'G'B' of 8 bits, or of 16 where the file has more.
func openImage(r io.Reader, o Options, kind string, config func(io.Reader) (image.Config, error), decode func(io.Reader) (image.Image, error)) (*Source, error) {
	data, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	// The size first: a header can claim any, and the memory for it.
	c, err := config(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	if c.Width*c.Height > MaxSamples {
		return nil, fmt.Errorf("the picture is %d x %d samples; at most %d samples are read", c.Width, c.Height, MaxSamples)
	}
	s := &Source{Info: Info{Width: c.Width, Height: c.Height, Order: '?', Across: 1, Down: 1, Kind: kind}}
	s.rgb(deep(c.ColorModel), o.Studio)
	if kind == "PNG" {
		s.Tags = pngfile.Text(data)
	}
	s.codes = func() (*pixfmt.Codes, error) {
		if data == nil {
			return nil, io.EOF
		}
		m, err := decode(bytes.NewReader(data))
		if data = nil; err != nil {
			return nil, err
		}
		return imageCodes(m, s.Coding.Bits == 16), nil
	}
	return s, nil
}

// rgb sets how R'G'B' codes are read.
func (s *Source) rgb(deep, studio bool) {
	switch {
	case deep && studio:
		s.Coding = colorimetry.RGB16Studio
	case deep:
		s.Coding = colorimetry.RGB16
	case studio:
		s.Coding = colorimetry.RGB8Studio
	default:
		s.Coding = colorimetry.RGB8
	}
	s.scale = scaleOf(s.Coding)
}

func openBT656(r io.Reader, o Options) (*Source, error) {
	if o.Raster == nil {
		return nil, errors.New("a BT.656 stream holds every line; name the raster with --raster, which says what of them is the picture")
	}
	src, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	bits := 8
	stream, err := bt656.Read(src, 8)
	if err != nil {
		bits = 10
		if stream, err = bt656.Read(src, 10); err != nil {
			return nil, err
		}
	}
	s := &Source{Info: infoOf(o.Raster, 2, 1, fmt.Sprintf("BT.656 of %d bits", bits))}
	s.studio(bits, false)
	n := 0
	s.codes = func() (*pixfmt.Codes, error) {
		c, err := stream.Picture(o.Raster, n)
		if err != nil && n > 0 {
			return nil, io.EOF // the last, perhaps not whole, frame
		}
		n++
		return c, err
	}
	return s, nil
}

// infoOf is what is known of frames of a raster.
func infoOf(r *timing.Raster, across, down int, kind string) Info {
	return Info{
		Width: r.Width, Height: r.Height(), Order: y4m.InterlaceOf(r.Order()), Rate: r.FrameRate(), Shape: r.PixelShape(),
		Across: across, Down: down, Kind: kind,
	}
}

func openRaw(kind string, r io.Reader, o Options) (*Source, error) {
	raster := o.Raster
	if raster == nil {
		return nil, errors.New("raw frames do not say their size; name the raster with --raster")
	}
	f, err := format.Resolve(format.Choice{Name: kind})
	if err != nil {
		return nil, err
	}
	l := pixfmt.Lookup(kind)
	s := &Source{Info: infoOf(raster, l.Across, l.Down, "raw "+kind)}
	if s.Coding = f.Coding; o.Studio && kind == "rgb24" {
		s.Coding = colorimetry.RGB8Studio
	}
	s.scale = scaleOf(s.Coding)
	s.codes = rawFrames(r, l, raster.Width, raster.Height(), fmt.Sprintf("raster %s in %s", raster.Name, kind))
	return s, nil
}

// rawFrames returns frames out of a stream that has nothing else; what names
// them in errors.
func rawFrames(r io.Reader, l *pixfmt.Layout, width, height int, what string) func() (*pixfmt.Codes, error) {
	buf := make([]byte, l.Size(width, height))
	n := 0
	return func() (*pixfmt.Codes, error) {
		got, err := io.ReadFull(r, buf)
		switch {
		case err == io.EOF && n > 0:
			return nil, io.EOF
		case err == io.EOF, errors.Is(err, io.ErrUnexpectedEOF):
			return nil, fmt.Errorf("a frame of %s has %d bytes, and there are %d", what, len(buf), got)
		case err != nil:
			return nil, err
		}
		n++
		return l.Unpack(buf, width, height)
	}
}
