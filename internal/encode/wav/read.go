package wav

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
)

// A Reader reads the samples of a file. It is not safe for concurrent use.
type Reader struct {
	Header Header

	r    *bufio.Reader
	left int64 // bytes of samples not read yet
}

// NewReader reads a file up to its first sample. Chunks that are neither the
// format nor the samples are passed over. The errors are a FormatError, an
// UnsupportedError, or that of r.
func NewReader(r io.Reader) (*Reader, error) {
	z := &Reader{r: bufio.NewReaderSize(r, 1<<16)}
	head, err := z.take(12, "the head of the file")
	if err != nil {
		return nil, err
	}
	if string(head[:4]) != "RIFF" || string(head[8:]) != "WAVE" {
		return nil, FormatError("it does not begin with RIFF and WAVE")
	}
	for {
		chunk, err := z.take(8, "the head of a chunk; there are no samples")
		if err != nil {
			return nil, err
		}
		size := int64(binary.LittleEndian.Uint32(chunk[4:]))
		switch id := string(chunk[:4]); {
		case id == "fmt " && z.Header.Channels == 0:
			if err := z.format(size); err != nil {
				return nil, err
			}
		case id == "fmt ":
			return nil, FormatError("two formats")
		case id == "data" && z.Header.Channels == 0:
			return nil, FormatError("samples before their format")
		case id == "data":
			block := int64(z.Header.Block())
			if size%block != 0 {
				return nil, FormatError(fmt.Sprintf("%d bytes of samples are no whole number of %d", size, block))
			}
			z.Header.Samples, z.left = size/block, size
			return z, nil
		default:
			if err := z.skip(size+size%2, id); err != nil {
				return nil, err
			}
		}
	}
}

// format reads the chunk of the format.
func (z *Reader) format(size int64) error {
	if size < 16 {
		return FormatError(fmt.Sprintf("a format of %d bytes", size))
	}
	b, err := z.take(16, "the format")
	if err != nil {
		return err
	}
	le := binary.LittleEndian
	tag, channels, rate := le.Uint16(b), int(le.Uint16(b[2:])), le.Uint32(b[4:])
	block, bits := int(le.Uint16(b[12:])), le.Uint16(b[14:])
	switch {
	case tag != pcm:
		return UnsupportedError(fmt.Sprintf("format tag %#x; only plain PCM is read, tag 1", tag))
	case bits != 16 && bits != 24:
		return UnsupportedError(fmt.Sprintf("samples of %d bits; 16 and 24 are read", bits))
	case channels < 1 || channels > MaxChannels:
		return UnsupportedError(fmt.Sprintf("%d channels; 1 to %d are read", channels, MaxChannels))
	case rate == 0:
		return FormatError("no rate")
	case block != int(bits)/8*channels:
		return FormatError(fmt.Sprintf("%d channels in blocks of %d bytes", channels, block))
	}
	z.Header.Rate, z.Header.Channels, z.Header.Depth = rate, channels, int(bits)
	return z.skip(size-16+size%2, "fmt ")
}

// take returns the next n bytes, a few.
func (z *Reader) take(n int, what string) ([]byte, error) {
	b := make([]byte, n)
	if _, err := io.ReadFull(z.r, b); err != nil {
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			err = FormatError("it ends within " + what)
		}
		return nil, err
	}
	return b, nil
}

// skip passes over n bytes of a chunk.
func (z *Reader) skip(n int64, id string) error {
	if _, err := io.CopyN(io.Discard, z.r, n); err != nil {
		if errors.Is(err, io.EOF) {
			err = FormatError(fmt.Sprintf("it ends within the chunk %q", id))
		}
		return err
	}
	return nil
}

// Read reads bytes of samples and implements [io.Reader]: io.EOF comes after
// the last sample that the header announces, and a file that ends before it is
// a FormatError.
func (z *Reader) Read(p []byte) (int, error) {
	if z.left == 0 {
		return 0, io.EOF
	}
	n, err := z.r.Read(p[:min(int64(len(p)), z.left)])
	z.left -= int64(n)
	if errors.Is(err, io.EOF) {
		all := z.Header.Samples * int64(z.Header.Block())
		err = FormatError(fmt.Sprintf("it ends after %d of %d bytes of samples", all-z.left, all))
	}
	return n, err
}
