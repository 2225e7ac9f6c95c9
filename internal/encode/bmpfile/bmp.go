// Package bmpfile writes BMP pictures for devices that read nothing else:
// 8-bit R'G'B', with a palette when 256 colors suffice. The encoder is
// golang.org/x/image/bmp.
//
// A BMP written here says nothing of pixel shape, and has no text.
package bmpfile

import (
	"bufio"
	"fmt"
	"image"
	"io"

	"backporch/colorimetry"
	"backporch/internal/pixfmt"
	"backporch/pattern/frame"

	"golang.org/x/image/bmp"
)

// Encode writes a 4:4:4 frame in an 8-bit R'G'B' coding. It panics on others.
func Encode(w io.Writer, f *frame.Frame, k *colorimetry.Coding) error {
	if k.Model != colorimetry.RGB || k.Bits != 8 {
		panic("bmpfile: Encode in " + k.Name)
	}
	rows := pixfmt.RoundRGB(f, k)
	if x, ok := rows.Index(); ok {
		return EncodeIndexed(w, x)
	}
	return encode(w, rows.RGBA())
}

// EncodeIndexed writes an indexed picture.
func EncodeIndexed(w io.Writer, x *pixfmt.Indexed) error { return encode(w, x.Paletted()) }

// encode writes a picture in large pieces: the encoder writes row by row.
func encode(w io.Writer, m image.Image) error {
	b := bufio.NewWriterSize(w, 1<<16)
	if err := bmp.Encode(b, m); err != nil {
		return fmt.Errorf("bmp: %w", err)
	}
	return b.Flush()
}
