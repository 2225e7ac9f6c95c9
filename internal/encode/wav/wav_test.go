package wav

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/oracle"
)

// file is a file of samples that count on.
func file(t testing.TB, h Header) []byte {
	t.Helper()
	b, err := h.Append(nil)
	require.NoError(t, err)
	require.Len(t, b, HeaderSize)
	for i := range h.Samples * int64(h.Channels) {
		b = binary.LittleEndian.AppendUint16(b, uint16(i*7919))
		if h.Depth == 24 {
			b = append(b, byte(i*31))
		}
	}
	b = append(b, make([]byte, h.Pad())...)
	require.EqualValues(t, h.Size(), len(b))
	return b
}

// The fields of the header, one by one: tag and sizes of the RIFF WAVE form
// (secondary: a reference of the header).
func TestHeader(t *testing.T) {
	b := file(t, Header{Rate: 17_734_475, Channels: 2, Samples: 3, Depth: 16})
	want := "RIFF\x30\x00\x00\x00WAVEfmt \x10\x00\x00\x00\x01\x00\x02\x00" +
		"\x4b\x9b\x0e\x01" + "\x2c\x6d\x3a\x04" + "\x04\x00\x10\x00data\x0c\x00\x00\x00"
	assert.Equal(t, want, string(b[:HeaderSize]))
}

// A file ends where its sizes do: 2^32 - 1 bytes less the 36 of the header
// that count. At 4 fsc that is 149.9 and 121.0 seconds of one channel.
func TestLimit(t *testing.T) {
	for _, tt := range []struct {
		name string
		h    Header
		fit  string
	}{
		{"525", Header{Rate: 14_318_182, Channels: 1, Depth: 16}, "149.9 seconds"},
		{"625", Header{Rate: 17_734_475, Channels: 1, Depth: 16}, "121.0 seconds"},
		{"625, two channels", Header{Rate: 17_734_475, Channels: 2, Depth: 16}, "60.5 seconds"},
		{"component", Header{Rate: 27_000_000, Channels: 3, Depth: 16}, "26.5 seconds"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			h := tt.h
			h.Samples = h.MaxSamples()
			assert.LessOrEqual(t, h.Size()-8, int64(math.MaxUint32))
			_, err := h.Append(nil)
			require.NoError(t, err)
			h.Samples++
			assert.Greater(t, h.Size()-8, int64(math.MaxUint32)-int64(h.Block()))
			_, err = h.Append(nil)
			assert.ErrorContains(t, err, "a file ends at 4 GiB, which is "+tt.fit+" of this signal")
			assert.ErrorAs(t, err, new(UnsupportedError))
		})
	}
}

func TestHeaderRefuses(t *testing.T) {
	for _, tt := range []struct {
		h   Header
		bad string
	}{
		{Header{Rate: 1, Channels: 0, Depth: 16}, "0 channels"},
		{Header{Rate: 1, Channels: 4, Depth: 16}, "4 channels"},
		{Header{Rate: 0, Channels: 1, Depth: 16}, "0 samples a second"},
		{Header{Rate: math.MaxUint32, Channels: 1, Depth: 16}, "4294967295 samples a second"},
		{Header{Rate: 1, Channels: 1, Samples: -1, Depth: 16}, "-1 samples"},
		{Header{Rate: 1, Channels: 1, Samples: 1, Depth: 20}, "samples of 20 bits"},
	} {
		_, err := tt.h.Append(nil)
		assert.ErrorContains(t, err, tt.bad)
	}
}

func TestRoundTrip(t *testing.T) {
	for _, h := range []Header{
		{27_000_000, 1, 1000, 16}, {27_000_000, 2, 1000, 16}, {27_000_000, 3, 1000, 16},
		{48_000, 1, 1000, 24}, {48_000, 1, 1001, 24}, {44_100, 2, 1001, 24}, {48_000, 3, 1, 24},
	} {
		b := file(t, h)
		z, err := NewReader(iotest.OneByteReader(bytes.NewReader(append(b, "LIST\x00\x00\x00\x00"...))))
		require.NoError(t, err)
		assert.Equal(t, h, z.Header)
		got, err := io.ReadAll(z)
		require.NoError(t, err)
		assert.Equal(t, b[HeaderSize:len(b)-h.Pad()], got)
	}
}

// An odd number of bytes of samples is followed by one of padding, which the
// size of the RIFF chunk counts and that of the samples does not.
func TestPadding(t *testing.T) {
	b := file(t, Header{Rate: 48_000, Channels: 1, Samples: 3, Depth: 24})
	assert.Len(t, b, HeaderSize+10)
	assert.EqualValues(t, len(b)-8, binary.LittleEndian.Uint32(b[4:]))
	assert.EqualValues(t, 9, binary.LittleEndian.Uint32(b[40:]))
}

// Other writers put chunks of their own before the samples, and a longer
// format.
func TestReaderPassesOver(t *testing.T) {
	b := file(t, Header{Rate: 27_000_000, Channels: 1, Samples: 2, Depth: 16})
	long := string(b[:12]) + "note\x03\x00\x00\x00abc\x00" + "fmt \x12\x00\x00\x00" + string(b[20:36]) + "\x00\x00" + string(b[36:])
	z, err := NewReader(strings.NewReader(long))
	require.NoError(t, err)
	got, err := io.ReadAll(z)
	require.NoError(t, err)
	assert.Equal(t, b[HeaderSize:], got)
}

func TestReaderRefuses(t *testing.T) {
	good := file(t, Header{Rate: 27_000_000, Channels: 2, Samples: 4, Depth: 16})
	changed := func(at int, to string) []byte {
		b := bytes.Clone(good)
		copy(b[at:], to)
		return b
	}
	for _, tt := range []struct {
		name string
		b    []byte
		bad  string
	}{
		{"nothing", nil, "invalid file: it ends within the head of the file"},
		{"other", []byte("RIFX....WAVEfmt "), "invalid file: it does not begin with RIFF and WAVE"},
		{"another form", changed(8, "AVI "), "invalid file: it does not begin with RIFF and WAVE"},
		{"head only", good[:12], "invalid file: it ends within the head of a chunk; there are no samples"},
		{"half a format", good[:30], "invalid file: it ends within the format"},
		{"short format", changed(16, "\x0e"), "invalid file: a format of 14 bytes"},
		{"float", changed(20, "\x03"), "unsupported: format tag 0x3; only plain PCM is read, tag 1"},
		{"extensible", changed(20, "\xfe\xff"), "unsupported: format tag 0xfffe"},
		{"8 bits", changed(34, "\x08"), "unsupported: samples of 8 bits; 16 and 24 are read"},
		{"24 bits in blocks of 16", changed(34, "\x18"), "invalid file: 2 channels in blocks of 4 bytes"},
		{"no channel", changed(22, "\x00"), "unsupported: 0 channels"},
		{"many channels", changed(22, "\x06"), "unsupported: 6 channels; 1 to 3 are read"},
		{"no rate", changed(24, "\x00\x00\x00\x00"), "invalid file: no rate"},
		{"blocks", changed(32, "\x02"), "invalid file: 2 channels in blocks of 2 bytes"},
		{"samples first", append(bytes.Clone(good[:12]), good[36:]...), "invalid file: samples before their format"},
		{"two formats", append(bytes.Clone(good[:36]), good[12:]...), "invalid file: two formats"},
		{"odd size", changed(40, "\x0f"), "invalid file: 15 bytes of samples are no whole number of 4"},
		{"endless chunk", changed(36, "junk"), "invalid file: it ends within the head of a chunk; there are no samples"},
		{"chunk cut off", append(changed(36, "junk")[:44], 'a'), `invalid file: it ends within the chunk "junk"`},
		{"cut off", good[:50], "invalid file: it ends after 6 of 16 bytes of samples"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			z, err := NewReader(bytes.NewReader(tt.b))
			if err == nil {
				_, err = io.ReadAll(z)
			}
			assert.ErrorContains(t, err, tt.bad)
		})
	}
	_, err := NewReader(iotest.ErrReader(errors.New("cable pulled")))
	assert.EqualError(t, err, "cable pulled")
	z, err := NewReader(io.MultiReader(bytes.NewReader(good[:46]), iotest.ErrReader(errors.New("cable pulled"))))
	require.NoError(t, err)
	_, err = io.ReadAll(z)
	assert.EqualError(t, err, "cable pulled")
}

// A stranger reads the rate, the channels and every sample of our files. The
// rates are those of a signal at 4 fsc and of 27 MHz, far above any sound.
func TestStranger(t *testing.T) {
	probe, convert := oracle.Need(t, "ffprobe"), oracle.Need(t, "ffmpeg")
	for _, tt := range []struct {
		h    Header
		want string
	}{
		{Header{Rate: 14_318_182, Channels: 1, Samples: 910, Depth: 16}, "pcm_s16le|14318182|1"},
		{Header{Rate: 17_734_475, Channels: 2, Samples: 1135, Depth: 16}, "pcm_s16le|17734475|2"},
		{Header{Rate: 27_000_000, Channels: 3, Samples: 1716, Depth: 16}, "pcm_s16le|27000000|3"},
		{Header{Rate: 48_000, Channels: 2, Samples: 8008, Depth: 24}, "pcm_s24le|48000|2"},
		{Header{Rate: 44_100, Channels: 1, Samples: 1001, Depth: 24}, "pcm_s24le|44100|1"},
	} {
		t.Run(tt.want, func(t *testing.T) {
			b := file(t, tt.h)
			path := filepath.Join(t.TempDir(), "a.wav")
			require.NoError(t, os.WriteFile(path, b, 0o600))
			out, err := exec.CommandContext(t.Context(), probe, "-v", "error", "-show_entries",
				"stream=codec_name,sample_rate,channels", "-of", "compact=p=0:nk=1", path).CombinedOutput()
			require.NoError(t, err, "%s", out)
			assert.Equal(t, tt.want, strings.TrimSpace(string(out)))

			got, err := exec.CommandContext(t.Context(), convert, "-v", "error", "-nostdin", "-i", path, "-f", fmt.Sprintf("s%dle", tt.h.Depth), "-c:a", fmt.Sprintf("pcm_s%dle", tt.h.Depth), "pipe:1").Output()
			require.NoError(t, err)
			assert.Equal(t, b[HeaderSize:len(b)-tt.h.Pad()], got)
		})
	}
}

// FuzzReader: a file is refused, or what is read is a part of it, of the size
// that the header says.
func FuzzReader(f *testing.F) {
	f.Add(file(f, Header{Rate: 27_000_000, Channels: 3, Samples: 2, Depth: 16}))
	f.Add([]byte("RIFF\xff\xff\xff\xffWAVEjunk\xff\xff\xff\xff"))
	f.Add([]byte("RIFF....WAVEjunk\x01\x00\x00\x00ab"))
	f.Fuzz(func(t *testing.T, src []byte) {
		z, err := NewReader(bytes.NewReader(src))
		if err != nil {
			return
		}
		got, err := io.ReadAll(z)
		require.True(t, bytes.Contains(src, got))
		if err != nil {
			return
		}
		require.EqualValues(t, z.Header.Samples*int64(z.Header.Block()), len(got))
		if uint64(z.Header.Rate)*uint64(z.Header.Block()) > math.MaxUint32 {
			return // a rate that is read and not written
		}
		again, err := z.Header.Append(nil)
		require.NoError(t, err)
		z2, err := NewReader(bytes.NewReader(append(again, got...)))
		require.NoError(t, err)
		require.Equal(t, z.Header, z2.Header)
	})
}

// Samples stand channel by channel, the low byte first, in two's complement.
func TestAppendSamples(t *testing.T) {
	channels := [][]int32{{1, -2}, {0x7fff, -0x8000}}
	assert.Equal(t, []byte("x\x01\x00\xff\x7f\xfe\xff\x00\x80"), Header{Channels: 2, Depth: 16}.AppendSamples([]byte("x"), channels))
	assert.Equal(t, []byte("\x01\x00\x00\xfe\xff\xff"), Header{Channels: 1, Depth: 24}.AppendSamples(nil, channels[:1]))
	assert.Panics(t, func() { Header{Channels: 1, Depth: 16}.AppendSamples(nil, channels) })
}
