package y4m

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"

	"backporch/colorimetry"
	"backporch/internal/pixfmt"
	"backporch/pattern/frame"
)

// FrameSize returns the bytes of a frame with its FRAME line.
func FrameSize(l *pixfmt.Layout, width, height int) int {
	return len(frameLine) + l.Size(width, height)
}

// AppendFrame appends one frame with its FRAME line to dst; l is the planar
// layout that the header names. It panics as [pixfmt.Packer.Append] does.
func AppendFrame(dst []byte, p *pixfmt.Packer, l *pixfmt.Layout, k *colorimetry.Coding, f *frame.Frame) []byte {
	return p.Append(append(dst, frameLine...), l, k, f)
}

// A Reader reads a stream. It is not safe for concurrent use.
type Reader struct {
	Header Header

	r      *bufio.Reader
	layout *pixfmt.Layout
	buf    bytes.Buffer
	n      int // frames read
}

// NewReader reads the header of a stream. The errors are a FormatError, an
// UnsupportedError, or that of r.
func NewReader(r io.Reader) (*Reader, error) {
	b := bufio.NewReader(r)
	line, err := readLine(b)
	if err != nil {
		return nil, err
	}
	h, err := ParseHeader(line)
	if err != nil {
		return nil, err
	}
	l, err := h.Layout()
	if err != nil {
		return nil, err
	}
	return &Reader{Header: h, r: b, layout: l}, nil
}

// Next returns the next frame, or io.EOF after the last. A stream that ends
// within a frame is a FormatError that says which.
func (z *Reader) Next() (*pixfmt.Codes, error) {
	line, err := readLine(z.r)
	if err != nil {
		return nil, err
	}
	if tag := line[:min(len(line), 6)]; tag != "FRAME\n" && tag != "FRAME " {
		return nil, FormatError(fmt.Sprintf("no FRAME line where frame %d begins", z.n))
	}
	want := z.layout.Size(z.Header.Width, z.Header.Height)
	z.buf.Reset()
	// Copied, not read into a slice of that size: memory then follows what the
	// stream really holds, not what its header claims.
	if got, err := io.CopyN(&z.buf, z.r, int64(want)); err != nil {
		if errors.Is(err, io.EOF) {
			err = FormatError(fmt.Sprintf("frame %d ends after %d of %d bytes", z.n, got, want))
		}
		return nil, err
	}
	c, err := z.layout.Unpack(z.buf.Bytes(), z.Header.Width, z.Header.Height)
	if err != nil {
		return nil, fmt.Errorf("y4m: frame %d: %w", z.n, err)
	}
	z.n++
	return c, nil
}

// readLine reads up to and with a newline. It returns io.EOF only when nothing
// follows at all.
func readLine(r *bufio.Reader) (string, error) {
	const limit = 1024
	var line []byte
	for {
		c, err := r.ReadByte()
		if err != nil {
			if errors.Is(err, io.EOF) && len(line) > 0 {
				err = FormatError("ends within a line of text")
			}
			return "", err
		}
		line = append(line, c)
		if c == '\n' {
			return string(line), nil
		}
		if len(line) == limit {
			return "", FormatError(fmt.Sprintf("a line of text longer than %d bytes", limit))
		}
	}
}
