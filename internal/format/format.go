package format

import (
	"fmt"
	"io"

	"backporch/colorimetry"
	"backporch/internal/encode/bmpfile"
	"backporch/internal/encode/bt656"
	"backporch/internal/encode/pngfile"
	"backporch/internal/encode/y4m"
	"backporch/internal/pixfmt"
	"backporch/pattern/frame"
	"backporch/timing"
)

// Format is a file format with all choices made; [Resolve] makes it.
//
// AppendFrame keeps scratch memory in it: a Format must not be used by two
// goroutines at once. Resolve the choice again for each.
type Format struct {
	Name      string // as on the command line
	Title     string // with its choices, for people
	Extension string // ".y4m"
	Stream    bool   // holds any number of frames; else exactly one
	Coding    *colorimetry.Coding
	Chroma    string // "411", "420", "420dv", "422" or "444"
	Range     string // "full" or "studio"
	Edition   string // of BT.656, else ""

	kind   kind
	layout *pixfmt.Layout // of raw frames and Y4M
	pack   pixfmt.Packer
	stream *bt656.Encoder
}

// Meta is what a file is told of its picture besides the samples. Formats
// that have no place for a part of it leave it out.
type Meta struct {
	Text  [][2]string  // keyword and text, Latin-1, for PNG
	Shape timing.Ratio // pixel width over height on the screen; zero: as the raster has it at 4:3
}

func (m Meta) shape(r *timing.Raster) timing.Ratio {
	if m.Shape.Den == 0 {
		return r.PixelShape()
	}
	return m.Shape
}

var samplings = map[string]frame.Sampling{
	"444": frame.S444, "422": frame.S422, "411": frame.S411, "420": frame.S420, "420dv": frame.S420DV,
}

// Sampling returns where chroma lies in a file of that raster; R'G'B' is 4:4:4.
func (f *Format) Sampling(r *timing.Raster) frame.Sampling {
	m := samplings[f.Chroma]
	if m == frame.S420 {
		return frame.Subsample420(r)
	}
	return m
}

// Lattice returns the raster to sample on for a file of r: r itself, or for
// BT.656 every picture line of the system. It refuses, with the way out, a
// raster that the format or its chroma cannot have.
func (f *Format) Lattice(r *timing.Raster) (*timing.Raster, error) {
	if f.kind == digital {
		full, err := bt656.Lattice(r)
		if err != nil {
			return nil, fmt.Errorf("format %s: %w", f.Name, err)
		}
		r = full
	}
	if err := f.Sampling(r).Check(r); err != nil {
		return nil, fmt.Errorf("format %s: %w", f.Name, err)
	}
	return r, nil
}

// Still writes a file of one frame, which must be sampled as the format says.
// It panics if the format is a stream.
func (f *Format) Still(w io.Writer, fr *frame.Frame, m Meta) error {
	switch f.Name {
	case "png":
		return pngfile.Encode(w, fr, f.Coding, pngfile.Meta{Text: m.Text, Shape: m.shape(fr.Raster)})
	case "bmp":
		return bmpfile.Encode(w, fr, f.Coding)
	case "bmp24":
		return bmpfile.EncodeTrue(w, fr, f.Coding)
	}
	panic("format: Still of " + f.Name)
}

// Indexed writes a still picture of palette indexes, whose palette keeps its
// order where the file has one. It panics for formats that are not stills.
func (f *Format) Indexed(w io.Writer, x *pixfmt.Indexed, r *timing.Raster, m Meta) error {
	switch f.Name {
	case "png":
		return pngfile.EncodeIndexed(w, x, pngfile.Meta{Text: m.Text, Shape: m.shape(r)})
	case "bmp":
		return bmpfile.EncodeIndexed(w, x)
	case "bmp24":
		return bmpfile.EncodeIndexedTrue(w, x)
	}
	panic("format: Indexed of " + f.Name)
}

// Header returns what stands before the first frame of a stream; nil for most
// formats.
func (f *Format) Header(r *timing.Raster, m Meta) ([]byte, error) {
	if f.kind != video {
		return nil, nil
	}
	return y4m.Header{
		Width: r.Width, Height: r.Height(),
		Rate:      r.FrameRate(),
		Interlace: y4m.InterlaceOf(r.Order()),
		Shape:     m.shape(r),
		Chroma:    y4m.ChromaOf(f.Sampling(r), f.Coding.Bits),
		Range:     "LIMITED",
	}.Append(nil)
}

// FrameSize returns the bytes that a frame takes in a stream, with what stands
// around it. r may be the raster of the file or that of Lattice. It is 0 for
// stills, whose size depends on the picture.
func (f *Format) FrameSize(r *timing.Raster) int {
	switch f.kind {
	case raw:
		return f.layout.Size(r.Width, r.Height())
	case video:
		return y4m.FrameSize(f.layout, r.Width, r.Height())
	case digital:
		return bt656.FrameSize(r.Scan, f.Coding.Bits)
	default:
		return 0
	}
}

// AppendFrame appends one frame of a stream to dst, with what stands around
// it. From the second frame on it allocates nothing if dst has room for
// FrameSize bytes more. It panics if the format is no stream, or the frame is
// not sampled as Sampling and Lattice say.
func (f *Format) AppendFrame(dst []byte, fr *frame.Frame) []byte {
	switch f.kind {
	case raw:
		return f.pack.Append(dst, f.layout, f.Coding, fr)
	case video:
		return y4m.AppendFrame(dst, &f.pack, f.layout, f.Coding, fr)
	case digital:
		return f.stream.Append(dst, fr)
	}
	panic("format: AppendFrame of " + f.Name)
}
