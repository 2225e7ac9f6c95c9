// Package wav writes and reads RIFF/WAVE files of uncompressed samples, 16 or
// 24 bits signed, as the RIFF form WAVE with the format tag WAVE_FORMAT_PCM
// defines them (Multimedia Programming Interface and Data Specifications 1.0,
// 1991; sizes of the fields: secondary).
//
// A file is a [Header] of 44 bytes and then the samples of all channels in
// turn, little-endian. The sizes stand in the header, so the number of samples
// must be known before the first is written; the sizes have 32 bits, so a file
// ends at 4 GiB. Chunks have an even length: behind an odd number of bytes of
// samples stands a byte of padding ([Header.Pad]), which the header does not
// count as a sample. The rate is a whole number. What the samples mean is not said
// in the file.
package wav

import (
	"encoding/binary"
	"fmt"
)

// HeaderSize is the length of the header that is written, in bytes.
const HeaderSize = 44

// MaxChannels is how many signals a file may hold.
const MaxChannels = 3

const (
	pcm = 1
	// maxData is the longest data chunk: the size of the RIFF chunk counts
	// what follows its own first 8 bytes and has 32 bits.
	maxData = 1<<32 - 1 - (HeaderSize - 8) - 1 // one for padding
)

// A Header is what a file says of its samples.
type Header struct {
	Rate     uint32 // samples a second of each channel
	Channels int    // 1 to MaxChannels
	Samples  int64  // of each channel
	Depth    int    // bits a sample, 16 or 24
}

// Block is the bytes of one sample of every channel.
func (h Header) Block() int { return h.Depth / 8 * h.Channels }

// Pad is the bytes, 0 or 1, that must follow the samples.
func (h Header) Pad() int { return int(h.Samples * int64(h.Block()) % 2) }

// MaxSamples returns how many samples of each channel a file can hold.
func (h Header) MaxSamples() int64 { return maxData / int64(h.Block()) }

// Size returns the length of the whole file in bytes.
func (h Header) Size() int64 { return HeaderSize + h.Samples*int64(h.Block()) + int64(h.Pad()) }

// check reports a header that cannot be written.
func (h Header) check() error {
	switch {
	case h.Depth != 16 && h.Depth != 24:
		return UnsupportedError(fmt.Sprintf("samples of %d bits; a file has 16 or 24", h.Depth))
	case h.Channels < 1 || h.Channels > MaxChannels:
		return UnsupportedError(fmt.Sprintf("%d channels; a file has 1 to %d", h.Channels, MaxChannels))
	case h.Rate == 0 || uint64(h.Rate)*uint64(h.Block()) > 1<<32-1:
		return UnsupportedError(fmt.Sprintf("%d samples a second in %d channels", h.Rate, h.Channels))
	case h.Samples < 0:
		return UnsupportedError(fmt.Sprintf("%d samples", h.Samples))
	case h.Samples > h.MaxSamples():
		return UnsupportedError(fmt.Sprintf("%.1f seconds; a file ends at 4 GiB, which is %.1f seconds of this signal",
			float64(h.Samples)/float64(h.Rate), float64(h.MaxSamples()*10/int64(h.Rate))/10))
	}
	return nil
}

// Append appends the header to dst; the samples must follow it. The error is
// an UnsupportedError, for a file that is too long with the seconds that fit.
func (h Header) Append(dst []byte) ([]byte, error) {
	if err := h.check(); err != nil {
		return dst, err
	}
	data := uint32(h.Samples * int64(h.Block()))
	le := binary.LittleEndian
	dst = le.AppendUint32(append(dst, "RIFF"...), data+uint32(h.Pad())+HeaderSize-8)
	dst = le.AppendUint32(append(dst, "WAVEfmt "...), 16)
	dst = le.AppendUint16(dst, pcm)
	dst = le.AppendUint16(dst, uint16(h.Channels))
	dst = le.AppendUint32(dst, h.Rate)
	dst = le.AppendUint32(dst, h.Rate*uint32(h.Block()))
	dst = le.AppendUint16(dst, uint16(h.Block()))
	dst = le.AppendUint16(dst, uint16(h.Depth))
	return le.AppendUint32(append(dst, "data"...), data), nil
}

// AppendSamples appends samples of all channels, as many of each, to dst. It
// panics if there are not [Header.Channels] of them; bits beyond the depth are
// dropped.
func (h Header) AppendSamples(dst []byte, channels [][]int32) []byte {
	if len(channels) != h.Channels {
		panic(fmt.Sprintf("wav: %d channels for a file of %d", len(channels), h.Channels))
	}
	for i := range channels[0] {
		for _, x := range channels {
			for b := 0; b < h.Depth; b += 8 {
				dst = append(dst, byte(x[i]>>b))
			}
		}
	}
	return dst
}
