package bt656

import (
	"slices"
	"testing"

	"backporch/internal/pixfmt"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Two frames cut anywhere come back as whole lines with their numbers, and the
// second frame as the picture that went in.
func TestRead(t *testing.T) {
	for _, name := range interlaced() {
		for bits, k := range codings {
			r, err := Lattice(timing.Lookup(name))
			require.NoError(t, err)
			f := numbered(r)
			whole := pixfmt.Round(f, k)
			z := NewEncoder(k, Current)
			two := z.Append(z.Append(nil, f), f)
			size := len(two) / 2
			for _, cut := range []int{0, 2, 4000, 700_000} { // bytes; even, so that 10-bit words stay whole
				s, err := Read(two[cut:], bits)
				require.NoError(t, err)
				assert.Same(t, r.Scan.System, s.System)
				n := LineWords(s.System)
				first := (cut/wordBytes(bits) + n - 1) / n // whole lines that the cut took or broke
				assert.Len(t, s.Lines, 2*r.Scan.Lines-first)
				assert.Equal(t, first*n-cut/wordBytes(bits), s.Before)
				assert.Zero(t, s.After)
				for i, l := range s.Lines {
					number := (first+i)%r.Scan.Lines + 1
					fbit, v := Flags(s.System, Current, number)
					if l.Number != number || l.F != fbit || l.V != v {
						require.Equal(t, Line{number, fbit, v, nil}, Line{l.Number, l.F, l.V, nil})
					}
				}
				frame := 1 // begins whole
				if cut > 0 {
					frame = 0
				}
				got, err := s.Picture(r, frame)
				require.NoError(t, err)
				for c := range whole.Planes {
					assert.True(t, slices.Equal(whole.Planes[c], got.Planes[c]), "plane %d differs", c)
				}

				// A crop of it: the lines that a 480i file holds.
				crop := timing.Lookup(name)
				got, err = s.Picture(crop, frame)
				require.NoError(t, err)
				for j, l := range crop.Lines {
					w := slices.Index(r.Lines, l)
					require.GreaterOrEqual(t, w, 0)
					require.True(t, slices.Equal(whole.Row(0, w), got.Row(0, j)), "line %d differs", l.Number)
				}
			}
			// Three lines with nothing after them are three lines.
			s, err := Read(two[size-3*LineWords(r.Scan.System)*wordBytes(bits):size], bits)
			require.NoError(t, err)
			assert.Len(t, s.Lines, 3)
		}
	}
}

// Without a change of field there is nothing to count from.
func TestReadWithoutNumbers(t *testing.T) {
	r, err := Lattice(timing.Lookup("480i"))
	require.NoError(t, err)
	b := NewEncoder(codings[8], Current).Append(nil, numbered(r))
	s, err := Read(b[30*1716:40*1716], 8)
	require.NoError(t, err)
	require.Len(t, s.Lines, 10)
	assert.Zero(t, s.Lines[5].Number)
	_, err = s.Picture(r, 0)
	assert.ErrorContains(t, err, "frame 0 of the stream lacks line 283")
	_, err = s.Picture(timing.Lookup("576i"), 0)
	assert.ErrorContains(t, err, "raster 576i cannot be read from a stream of 525/60")
}

func TestReadRefuses(t *testing.T) {
	r, err := Lattice(timing.Lookup("480i"))
	require.NoError(t, err)
	good := NewEncoder(codings[8], Current).Append(nil, numbered(r))
	const line, sav = 1716, 272 // words of a line; place of its SAV
	for _, tt := range []struct {
		name   string
		change func(b []byte) []byte
		bits   int
		want   string
	}{
		{"nothing", func([]byte) []byte { return nil }, 8, "no EAV in it"},
		{"picture only", func(b []byte) []byte { return b[:0:0] }, 8, "no EAV in it"},
		{"less than a line", func(b []byte) []byte { return b[:line-1] }, 8, "no two EAVs"},
		{"another line length", func(b []byte) []byte { return append(b[:100:100], b[line:2*line+10]...) }, 8, "100 words from EAV to EAV; a line has 1716 or 1728"},
		{"one protection bit", func(b []byte) []byte { b[line+3] ^= 1; return b }, 8, "line 2 from the beginning: the EAV is 0xf0; with F 1 and V 1 it must be 0xf1"},
		{"SAV of another field", func(b []byte) []byte { b[line+sav+3] = Reference(0, 1, 0); return b }, 8, "line 2 from the beginning: the bits F and V are 1 1 in the EAV and 0 1 in the SAV"},
		{"no SAV", func(b []byte) []byte { b[5*line+sav] = 0x80; return b }, 8, "line 6 from the beginning: no SAV at word 272"},
		{"a lost line", func(b []byte) []byte { return append(b[:99*line:99*line], b[100*line:]...) }, 8, "counted from the first change of field"},
		{"an odd byte of 10 bits", func(b []byte) []byte { return b[:101] }, 10, "101 bytes, not a whole number"},
		{"8 bits as 10", func(b []byte) []byte { return b }, 10, "more than 10 bits"},
		{"12 bits", func(b []byte) []byte { return b }, 12, "words of 12 bits; there are 8 and 10"},
	} {
		_, err := Read(tt.change(append([]byte(nil), good...)), tt.bits)
		assert.ErrorContains(t, err, tt.want, tt.name)
	}
}

// FuzzRead: bytes are refused, or every line stands in them where the words
// around it say, with references that hold.
func FuzzRead(f *testing.F) {
	r, err := Lattice(timing.Lookup("480i"))
	require.NoError(f, err)
	b := NewEncoder(codings[8], Current).Append(nil, numbered(r))
	f.Add(b[2*1716:5*1716+7], 8)
	f.Add(b[100:4000], 8)
	f.Add(NewEncoder(codings[10], Legacy).Append(nil, numbered(r))[:3*2*1716], 10)
	f.Add([]byte{0xff, 0, 0, 0x9d}, 8)
	f.Fuzz(func(t *testing.T, src []byte, bits int) {
		s, err := Read(src, bits)
		if err != nil {
			return
		}
		words, err := toWords(src, bits)
		require.NoError(t, err)
		n := LineWords(s.System)
		require.Equal(t, len(words), s.Before+len(s.Lines)*n+s.After)
		require.Less(t, s.After, n)
		require.NotEmpty(t, s.Lines)
		for i, l := range s.Lines {
			at := words[s.Before+i*n:][:n]
			require.Equal(t, at[n-activeWords:], l.Active)
			xy, ok := reference(at, bits)
			require.True(t, ok)
			require.Equal(t, Reference(l.F, l.V, 1), xy)
		}
	})
}
