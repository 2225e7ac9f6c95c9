package wavefile

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"

	"backporch/internal/composite"
	"backporch/internal/encode/samples"
	"backporch/internal/encode/wav"
)

// maxSidecar is far more than a description has.
const maxSidecar = 1 << 20

// Read reads a file of samples and the description that stands beside it, both
// opened by open, and returns its first frames, as many as frames says (0: all
// of them). The whole file is read all the same, to compare it with the number
// of samples and the SHA-256 of its description. Errors name the file.
func Read(path string, frames int, open func(name string) (io.ReadCloser, error)) (*composite.Wave, *Meta, error) {
	side := SidecarName(path)
	text, err := readAll(side, open)
	if err != nil {
		return nil, nil, fmt.Errorf("%s cannot be read without its description %s: %w", path, side, err)
	}
	m, err := Parse(text)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", side, err)
	}
	f, err := open(path)
	if err != nil {
		return nil, nil, err
	}
	defer f.Close()
	w, err := m.Decode(f, frames)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", path, err)
	}
	return w, m, nil
}

func readAll(name string, open func(name string) (io.ReadCloser, error)) ([]byte, error) {
	f, err := open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, maxSidecar+1))
	if len(b) > maxSidecar {
		return nil, errors.New("it is too long")
	}
	return b, err
}

// Decode reads the samples of the file that m describes; see [Read]. m must
// come from [Parse].
func (m *Meta) Decode(r io.Reader, frames int) (*composite.Wave, error) {
	wire, base, err := m.signal()
	if err != nil {
		return nil, err
	}
	if frames <= 0 || frames > m.Frames {
		frames = m.Frames
	}
	sum := sha256.New()
	file := bufio.NewReaderSize(io.TeeReader(r, sum), 1<<16)
	words := io.Reader(file)
	if m.Format == WAV {
		z, err := wav.NewReader(file)
		if err != nil {
			return nil, err
		}
		if h := z.Header; h.Channels != len(m.Channels) || h.Samples != m.Samples || int64(h.Rate) != m.RateInFile {
			return nil, fmt.Errorf("it has %d samples of %d channels at %d Hz, and its description says %d of %d at %d",
				h.Samples, h.Channels, h.Rate, m.Samples, len(m.Channels), m.RateInFile)
		}
		if z.Header.Depth != 16 {
			return nil, fmt.Errorf("its samples have %d bits, and those of a signal have 16; make it again", z.Header.Depth)
		}
		words = z
	}
	w := &composite.Wave{Wire: wire, Timebase: base, Frame: m.first(), Frames: frames}
	if w.Samples, err = m.take(words, length(base, w.Frame, frames)); err != nil {
		return nil, err
	}
	if _, err := io.Copy(io.Discard, file); err != nil {
		return nil, err
	}
	if got := hex.EncodeToString(sum.Sum(nil)); got != m.SHA256 {
		return nil, errors.New("it is not the file that its description was written for (the SHA-256 differs); make both again")
	}
	return w, nil
}

// take reads all samples and returns the first n of each channel. Memory
// follows what the file holds, not what its description claims.
func (m *Meta) take(r io.Reader, n int64) ([][]float32, error) {
	scales := make([]samples.Scale, len(m.Channels))
	for i, c := range m.Channels {
		scales[i] = c.scale()
	}
	out := make([][]float32, len(scales))
	block := int64(2 * len(scales))
	buf := make([]byte, block<<14)
	for done := int64(0); done < m.Samples; {
		size := min(int64(len(buf)), (m.Samples-done)*block)
		got, err := io.ReadFull(r, buf[:size])
		if err != nil {
			if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
				err = fmt.Errorf("it ends after %d of the %d samples of its description", done+int64(got)/block, m.Samples)
			}
			return nil, err
		}
		if keep := min(size/block, n-done); keep > 0 {
			samples.Extend(out, scales, buf[:keep*block])
		}
		done += size / block
	}
	return out, nil
}
