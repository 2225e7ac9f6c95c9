// Package pngfile writes PNG pictures through the standard encoder, and adds
// what it leaves out: the shape of a pixel (pHYs) and text (tEXt), by the W3C
// PNG specification, third edition.
//
// No other ancillary chunk is written: anything about color would invite a
// viewer to change the codes. A picture of 256 colors or fewer has a palette,
// others are true color without alpha.
package pngfile

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"io"
	"sync"

	"backporch/colorimetry"
	"backporch/internal/pixfmt"
	"backporch/pattern/frame"
	"backporch/timing"
)

// Meta is what a file says of its picture.
type Meta struct {
	Text  [][2]string  // keyword and text, Latin-1; see the specification for keywords
	Shape timing.Ratio // pixel width over height; the zero Ratio for none
}

// Encode writes a 4:4:4 frame in an R'G'B' coding of 8 or 16 bits. It panics on
// others.
func Encode(w io.Writer, f *frame.Frame, k *colorimetry.Coding, m Meta) error {
	if k.Model != colorimetry.RGB || k.Bits != 8 && k.Bits != 16 {
		panic("pngfile: Encode in " + k.Name)
	}
	rows := pixfmt.RoundRGB(f, k)
	if k.Bits == 16 {
		return encode(w, rows.RGBA64(), m)
	}
	if x, ok := rows.Index(); ok {
		return encode(w, widened(x), m)
	}
	return encode(w, rows.RGBA(), m)
}

// wide is the least palette of which the standard encoder makes 8-bit indexes.
// It copies those row by row; narrower ones it gathers sample by sample, which
// takes longer than all the rest: 2.0 instead of 4.5 ms for a 720 x 486 picture
// of 8 colors, for 270 bytes more.
const wide = 17

// widened returns a picture whose palette of fewer than 17 colors is filled up
// with its first.
func widened(x *pixfmt.Indexed) *image.Paletted {
	p := x.Paletted()
	for len(p.Palette) < wide {
		p.Palette = append(p.Palette, p.Palette[0])
	}
	return p
}

// EncodeIndexed writes an indexed picture for a reader that counts on indexes:
// they are kept, and the palette has exactly the picture's colors in their
// order, so that 2 of them are indexes of 1 bit, 4 of 2, 16 of 4, and more of
// 8. Beyond 256 colors, which no palette holds, it is 24-bit without one.
func EncodeIndexed(w io.Writer, x *pixfmt.Indexed, m Meta) error {
	if len(x.Palette) > pixfmt.MaxColors {
		return encode(w, x.RGBA(), m)
	}
	return encode(w, x.Paletted(), m)
}

// buffers keeps the encoder's compressor, over half a megabyte, from picture
// to picture.
type buffers struct{ sync.Pool }

func (b *buffers) Get() *png.EncoderBuffer {
	e, _ := b.Pool.Get().(*png.EncoderBuffer)
	return e
}

func (b *buffers) Put(e *png.EncoderBuffer) { b.Pool.Put(e) }

var pool buffers

func encode(w io.Writer, m image.Image, meta Meta) error {
	chunks, err := meta.chunks()
	if err != nil {
		return err
	}
	var b bytes.Buffer
	e := png.Encoder{CompressionLevel: png.DefaultCompression, BufferPool: &pool}
	if err := e.Encode(&b, m); err != nil {
		return fmt.Errorf("png: %w", err)
	}
	// The chunks stand right behind the header, before palette and picture.
	file := b.Bytes()
	for _, part := range [][]byte{file[:headerEnd], chunks, file[headerEnd:]} {
		if _, err := w.Write(part); err != nil {
			return err
		}
	}
	return nil
}
