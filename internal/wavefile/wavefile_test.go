package wavefile

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/composite"
	"backporch/internal/testtable"
	"backporch/pattern/frame"
	"backporch/timing"
)

// strips is a picture with strips of black, white and color across each line,
// the same on every line; it moves with n where step is not 0.
func strips(step int) func(r *timing.Raster, n int) (*frame.Frame, error) {
	return func(r *timing.Raster, n int) (*frame.Frame, error) {
		f := &frame.Frame{Raster: r, Sampling: frame.S444}
		for c, levels := range [3][]float64{{0, 1, 0.5, 0.3}, {0, 0, 0.2, -0.3}, {0, 0, -0.3, 0.1}} {
			row := make([]float64, r.Width)
			for i := range row {
				row[i] = levels[(i*4/r.Width+n*step)%4]
			}
			f.Planes[c] = frame.Plane{Rows: [][]float64{row}, Lines: make([]int32, r.Height())}
		}
		return f, nil
	}
}

func request(format, wire string, s *timing.Scan) *Request {
	return &Request{Format: format, Wire: composite.Lookup(wire), Scan: s, Options: composite.Standard, Period: 1,
		Picture: strips(0), Program: "backporch test", Pattern: "strips", Raster: "480i", Aspect: "4/3", Setup: "as player"}
}

// write writes a job, and returns the file and its description.
func write(t testing.TB, q *Request) (*Job, []byte, *Meta) {
	t.Helper()
	j, err := q.Layout()
	require.NoError(t, err)
	var b bytes.Buffer
	d, err := j.Write(context.Background(), &b, true)
	require.NoError(t, err)
	require.EqualValues(t, j.Size(), b.Len())
	return j, b.Bytes(), j.Describe("strips."+q.Format, d)
}

// shelf opens files by name.
type shelf map[string][]byte

func (s shelf) open(name string) (io.ReadCloser, error) {
	b, ok := s[name]
	if !ok {
		return nil, fmt.Errorf("open %s: no such file", name)
	}
	return io.NopCloser(bytes.NewReader(b)), nil
}

// Frames, rates and samples of every scan. 525: 910 samples a line at 315/22
// MHz (SMPTE 244M clause 4.1); 625: 709 379 a frame at 17 734 475 Hz (EBU Tech
// 3280-E clause 1.1); 27 MHz: 1716 and 1728 a line (ITU-R BT.601-5 table 2). A
// color sequence is 2 or 4 frames (SMPTE 170M clause 13.2, ITU-R BT.1700 Annex 1
// Part B); a field of 262 lines holds 59 605 cycles, of 263 lines 59 832 1/2 and
// of 312 lines 88 530 (arithmetic).
func TestSizes(t *testing.T) {
	for _, tt := range []struct {
		wire, format    string
		scan            *timing.Scan
		frames, samples int
		rate            string
		header          int64
		bytes           int
	}{
		{"composite-m", WAV, timing.Scan525i, 2, 2 * 477_750, "157500000/11", 14_318_182, 44 + 4*477_750},
		{"composite-j", U16, timing.Scan525i, 2, 2 * 477_750, "157500000/11", 0, 4 * 477_750},
		{"yc-m", WAV, timing.Scan525i, 2, 2 * 477_750, "157500000/11", 14_318_182, 44 + 8*477_750},
		{"pal", WAV, timing.Scan625i, 4, 4 * 709_379, "17734475", 17_734_475, 44 + 8*709_379},
		{"yc-pal", S16, timing.Scan625i, 4, 4 * 709_379, "17734475", 0, 16 * 709_379},
		{"component-n10", WAV, timing.Scan525i, 1, 525 * 1716, "27000000", 27_000_000, 44 + 6*525*1716},
		{"component-n10", U16, timing.Scan625i, 1, 625 * 1728, "27000000", 0, 6 * 625 * 1728},
		{"rgb-714", S16, timing.Scan525i, 1, 525 * 1716, "27000000", 0, 6 * 525 * 1716},
		{"composite-m", WAV, timing.Scan262, 1, 262 * 910, "157500000/11", 14_318_182, 44 + 2*262*910},
		{"composite-m", WAV, timing.Scan263, 2, 2 * 263 * 910, "157500000/11", 14_318_182, 44 + 4*263*910},
		{"composite-m", WAV, timing.Scan262c227_33, 3, 262 * 2728, "157500000/11", 14_318_182, 44 + 2*262*2728},
		{"pal", WAV, timing.Scan312, 1, 312 * 1135, "17734475", 17_734_475, 44 + 2*312*1135},
	} {
		t.Run(tt.wire+" "+tt.format+" "+tt.scan.Name, func(t *testing.T) {
			_, b, m := write(t, request(tt.format, tt.wire, tt.scan))
			assert.Len(t, b, tt.bytes)
			assert.Equal(t, tt.frames, m.Frames)
			assert.EqualValues(t, tt.samples, m.Samples)
			assert.Equal(t, tt.rate, m.Rate)
			assert.Equal(t, tt.header, m.RateInFile)
			assert.Len(t, m.Channels, len(composite.Lookup(tt.wire).Channels()))
		})
	}
}

// 14 318 182 Hz is 0.0127 ppm above 315/22 MHz (arithmetic); 625 lines have a
// whole rate.
func TestRateError(t *testing.T) {
	_, _, m := write(t, request(WAV, "composite-m", timing.Scan525i))
	assert.InDelta(t, 0.0127, m.RateError, 0.00005)
	_, _, m = write(t, request(WAV, "pal", timing.Scan625i))
	assert.Zero(t, m.RateError)
}

// The codes of a line: tip, blanking, black and white. 525: SMPTE 244M table 1
// (16, 240, 800; 282 for setup is calc); 625: EBU Tech 3280-E table 1 (4, 256,
// 844). Component and RGB have the scale of the composite signal (own choice):
// -300 mV is 5 on 525 lines, since 240 - 0.784 x 300 = 4.8, and 700 mV is 789.
func TestCodes(t *testing.T) {
	for _, tt := range []struct {
		wire                        string
		scan                        *timing.Scan
		tip, blanking, black, white uint16
		channel                     int
	}{
		{"composite-m", timing.Scan262, 16, 240, 282, 800, 0},
		{"composite-j", timing.Scan262, 16, 240, 240, 800, 0},
		{"yc-m", timing.Scan262, 16, 240, 282, 800, 0},
		{"yc-m", timing.Scan262, 512, 512, 512, 512, 1},
		{"pal", timing.Scan312, 4, 256, 256, 844, 0},
		{"yc-pal", timing.Scan312, 4, 256, 256, 844, 0},
		{"yc-pal", timing.Scan312, 512, 512, 512, 512, 1},
		{"component-n10", timing.Scan262, 5, 240, 240, 789, 0},
		{"component-n10", timing.Scan312offset, 4, 256, 256, 844, 0},
		{"component-n10", timing.Scan312offset, 512, 512, 512, 512, 2},
		{"component-betacam", timing.Scan262, 16, 240, 282, 800, 0},
		{"rgb-700", timing.Scan312offset, 4, 256, 256, 844, 1},
		{"rgb-700", timing.Scan312offset, 256, 256, 256, 844, 0}, // sync is on green alone
	} {
		t.Run(fmt.Sprintf("%s %s channel %d", tt.wire, tt.scan.Name, tt.channel), func(t *testing.T) {
			_, b, m := write(t, request(U16, tt.wire, tt.scan))
			channels := len(m.Channels)
			rate := composite.Lookup(tt.wire).Timebase(tt.scan).Rate.Float64() / 1e6
			perLine := composite.Lookup(tt.wire).Timebase(tt.scan).SamplesPerLine().Float64()
			at := func(us float64) uint16 { // of line 100
				i := int(math.Round(99*perLine + us*rate))
				return binary.LittleEndian.Uint16(b[2*(i*channels+tt.channel):])
			}
			assert.Equal(t, tt.tip, at(2), "tip of sync")
			assert.Equal(t, tt.blanking, at(5.0), "blanking before the burst")
			assert.Equal(t, tt.blanking, at(8.3), "blanking after the burst")
			assert.Equal(t, tt.black, at(14), "black")
			assert.Equal(t, tt.white, at(27), "white")
		})
	}
}

// Sample n of a 525-line u16 file is word (785 + n) mod 910 of SMPTE 244M-2003
// table 5: 0H lies 33/90 sample after word 784. Within one code, as the edges
// and the burst are printed.
func TestWordsOf244M(t *testing.T) {
	_, b, _ := write(t, request(U16, "composite-m", timing.Scan525i))
	words := map[int][2]int{}
	for _, row := range testtable.Table(t, "smpte244_hblank.csv") {
		word, err := strconv.Atoi(row["word"])
		require.NoError(t, err)
		var codes [2]int
		for i, key := range []string{"code10_burst_0deg", "code10_burst_180deg"} {
			codes[i], err = strconv.Atoi(row[key])
			require.NoError(t, err)
		}
		words[word] = codes
	}
	columns := [2]int{}
	for _, line := range []int{10, 11, 100, 101, 275, 524} {
		start := (line - 1) * 910
		column := 0 // whose burst begins alike
		if binary.LittleEndian.Uint16(b[2*(start+866-785):]) < 240 != (words[866][0] < 240) {
			column = 1
		}
		columns[column]++
		for n := range 910 {
			word := (785 + n) % 910
			want, ok := words[word]
			if !ok || n > 450 && word < 775 {
				continue // picture, and where it ends
			}
			got := int(binary.LittleEndian.Uint16(b[2*(start+n):]))
			require.InDelta(t, want[column], got, 1, "line %d sample %d, word %d", line, n, word)
		}
	}
	assert.Equal(t, [2]int{3, 3}, columns, "the burst turns over from line to line")
}

// The file comes back as the signal it was, within half a code, on every wire
// and in every format; a moving picture too.
func TestRoundTrip(t *testing.T) {
	for _, format := range []string{WAV, S16, U16} {
		for i, w := range composite.Wires() {
			if testing.Short() && (format == S16 || i%3 != 1) {
				continue
			}
			scan := timing.Scan262
			switch {
			case w.Name == "pal":
				scan = timing.Scan625i
			case w.Family.Lines == 625:
				scan = timing.Scan312
			case w.Kind == composite.Composite:
				scan = timing.Scan525i
			}
			t.Run(format+" "+w.Name, func(t *testing.T) {
				q := request(format, w.Name, scan)
				_, b, m := write(t, q)
				side, err := m.JSON()
				require.NoError(t, err)
				got, meta, err := Read("a."+format, 1, shelf{"a." + format: b, "a." + format + ".json": side}.open)
				require.NoError(t, err)
				assert.Equal(t, m, meta)
				e, err := composite.NewEncoder(w, scan, q.Options)
				require.NoError(t, err)
				want, err := e.Encode(0, 1, q.Picture)
				require.NoError(t, err)
				assert.Equal(t, want.Timebase, got.Timebase)
				assert.Equal(t, [2]int{0, 1}, [2]int{got.Frame, got.Frames})
				require.Len(t, got.Samples, len(want.Samples))
				for c := range want.Samples {
					require.Len(t, got.Samples[c], len(want.Samples[c]))
					require.Zero(t, m.Channels[c].Clipped)
					for i, v := range want.Samples[c] {
						if d := math.Abs(float64(v - got.Samples[c][i])); d > 0.5001*m.Channels[c].PerCode {
							t.Fatalf("channel %d sample %d: %v mV came back as %v", c, i, v, got.Samples[c][i])
						}
					}
				}
			})
		}
	}
}

// A loop is seamless: the frame after the last is the first, sample for sample,
// and no frame within a color sequence is.
func TestSeamless(t *testing.T) {
	for _, tt := range []struct {
		wire   string
		scan   *timing.Scan
		period int
		loop   int
	}{
		{"composite-m", timing.Scan525i, 1, 2}, {"pal", timing.Scan625i, 1, 4}, {"pal", timing.Scan312, 1, 1},
		{"composite-m", timing.Scan525i, 3, 6}, {"pal", timing.Scan625i, 4, 4},
		{"component-n10", timing.Scan262, 4, 4}, {"component-n10", timing.Scan312offset, 1, 1}, {"composite-m", timing.Scan262c227_33, 1, 3},
	} {
		t.Run(fmt.Sprintf("%s %s period %d", tt.wire, tt.scan.Name, tt.period), func(t *testing.T) {
			if testing.Short() && tt.loop > 3 {
				t.Skip("long loops")
			}
			q := request(S16, tt.wire, tt.scan)
			if tt.period > 1 {
				q.Period, q.Picture = tt.period, func(r *timing.Raster, n int) (*frame.Frame, error) {
					return strips(1)(r, n%tt.period)
				}
			}
			j, b, _ := write(t, q)
			require.Equal(t, tt.loop, j.Loop)
			q.AtLeast = tt.loop + 1
			j, twice, _ := write(t, q)
			require.Equal(t, 2*tt.loop, j.Frames)
			assert.True(t, bytes.Equal(twice, append(bytes.Clone(b), b...)), "the second loop is not the first")
			if tt.loop > 1 {
				one := len(b) / tt.loop
				assert.False(t, bytes.Equal(b[:one], b[one:2*one]), "the second frame is the first")
			}
		})
	}
}

// Frames are rounded up to whole loops.
func TestFrames(t *testing.T) {
	for _, tt := range []struct{ least, period, want int }{
		{0, 1, 2}, {1, 1, 2}, {2, 1, 2}, {3, 1, 4}, {0, 5, 10}, {11, 5, 20}, {300, 1, 300},
	} {
		q := request(S16, "composite-m", timing.Scan525i)
		q.AtLeast, q.Period = tt.least, tt.period
		j, err := q.Layout()
		require.NoError(t, err)
		assert.Equal(t, tt.want, j.Frames, "at least %d with a period of %d", tt.least, tt.period)
	}
	q := request(S16, "pal", timing.Scan312offset)
	j, err := q.Layout()
	require.NoError(t, err)
	assert.Equal(t, 625, j.Frames, "25 Hz come round in 625 frames of 312 lines")
	assert.EqualValues(t, 709_379*312, j.samples(), "709 379 samples in 625 lines (EBU Tech 3280-E)")
}

// A WAV ends at 4 GiB: 149.9 s of 525 lines.
func TestTooLong(t *testing.T) {
	q := request(WAV, "composite-m", timing.Scan525i)
	q.AtLeast = 6000
	_, err := q.Layout()
	require.EqualError(t, err, "a WAV ends at 4 GiB, and 200.20 s of this signal (6000 frames) are longer\n"+
		"ask for --seconds 149.94 at most, or use s16 or u16, which have no limit")
	var long *TooLongError
	require.ErrorAs(t, err, &long)
	q.AtLeast = long.Fit
	_, err = q.Layout()
	require.NoError(t, err)
	q.AtLeast++
	_, err = q.Layout()
	require.Error(t, err)
	q.Format = U16
	_, err = q.Layout()
	require.NoError(t, err)
	q = request(WAV, "component-n10", timing.Scan525i)
	q.Period = 1000
	_, err = q.Layout()
	require.EqualError(t, err, "a WAV ends at 4 GiB, and the 1000 frames of one loop are longer; use s16 or u16, which have no limit")
}

// Samples without a code are counted, for as many loops as the file has.
func TestClipped(t *testing.T) {
	q := request(U16, "pal", timing.Scan625i)
	q.Options.ChromaGain = 5
	_, _, one := write(t, q)
	require.Positive(t, one.Channels[0].Clipped)
	q.AtLeast = 8
	_, _, two := write(t, q)
	assert.Equal(t, 2*one.Channels[0].Clipped, two.Channels[0].Clipped)
	q.Period = 2 // by the other way of writing
	_, _, each := write(t, q)
	assert.Equal(t, two.Channels[0].Clipped, each.Channels[0].Clipped)
	assert.Equal(t, two.SHA256, each.SHA256)
}

func TestReadRefuses(t *testing.T) {
	_, b, m := write(t, request(WAV, "composite-m", timing.Scan262))
	side, err := m.JSON()
	require.NoError(t, err)
	with := func(from, to string) []byte {
		require.Contains(t, string(side), from)
		return []byte(strings.Replace(string(side), from, to, 1))
	}
	other := bytes.Clone(b)
	other[1000]++
	for _, tt := range []struct {
		name      string
		file, say []byte
		bad       string
	}{
		{"no description", b, nil, "a.wav cannot be read without its description a.wav.json: open a.wav.json: no such file"},
		{"no file", nil, side, "open a.wav: no such file"},
		{"not JSON", b, []byte("RIFF"), "a.wav.json: it is no JSON of ours"},
		{"schema", b, with("wave/1", "wave/2"), `a.wav.json: schema is "backporch/wave/2"; this program reads "backporch/wave/1"`},
		{"wire", b, with(`"composite-m"`, `"composite"`), `a.wav.json: wire is "composite", which is none`},
		{"wire of other lines", b, with(`"composite-m"`, `"pal"`), "pal belongs to 625 lines"},
		{"scan", b, with(`"525p/262"`, `"525p"`), `scan is "525p", which is none`},
		{"lines", b, with(`"lines": 262`, `"lines": 263`), "lines and fields are 263 and 1; 525p/262 has 262 and 1"},
		{"rate", b, with(`"157500000/11"`, `"14318182"`), `rate_hz is "14318182"; composite-m has 157500000/11`},
		{"format", b, with(`"format": "wav"`, `"format": "csv"`), `format is "csv"; wav, s16 and u16 are read`},
		{"frames", b, with(`"frames": 1,`, `"frames": 0,`), "frames is 0; it must be 1 to 10000000"},
		{"samples", b, with(`"samples": 238420`, `"samples": 238421`), "samples is 238421; 1 frames have 238420"},
		{"field", b, with(`"first_color_field": 1`, `"first_color_field": 0`), "first_color_field is 0, which begins no frame"},
		{"channel", b, with(`"name": "CVBS"`, `"name": "Y"`), `channel 1 is "Y"; that of composite-m is "CVBS"`},
		{"no channel", b, []byte(string(side[:bytes.Index(side, []byte(`"channels"`))]) + `"notes": []}`), "channels are 0; composite-m has 1"},
		{"scale", b, with(`"mv_per_code": `, `"mv_per_code": -`), "channel CVBS: -25.088 codes a mV"},
		{"scale of lightning", b, with(`"mv_per_code": 0.0`, `"mv_per_code": 1e36, "was": 0.0`), "channel CVBS: 1e-36 codes a mV are not within 0.1 to 10000"},
		{"header", b, with(`"rate_in_file_hz": 14318182`, `"rate_in_file_hz": 14318181`), "a.wav: it has 238420 samples of 1 channels at 14318182 Hz, and its description says 238420 of 1 at 14318181"},
		{"cut off", b[:200_044], side, "a.wav: wav: invalid file: it ends after 200000 of 476840 bytes of samples"},
		{"changed", other, side, "a.wav: it is not the file that its description was written for (the SHA-256 differs); make both again"},
		{"longer", append(bytes.Clone(b), 0), side, "the SHA-256 differs"},
		{"not a WAV", b[44:], side, "a.wav: wav: invalid file"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			files := shelf{}
			if tt.file != nil {
				files["a.wav"] = tt.file
			}
			if tt.say != nil {
				files["a.wav.json"] = tt.say
			}
			_, _, err := Read("a.wav", 0, files.open)
			require.ErrorContains(t, err, tt.bad)
		})
	}
}

// A raw file has no header to tell that it is cut off.
func TestReadShort(t *testing.T) {
	_, b, m := write(t, request(S16, "yc-m", timing.Scan262))
	side, err := m.JSON()
	require.NoError(t, err)
	_, _, err = Read("a.s16", 0, shelf{"a.s16": b[:400_002], "a.s16.json": side}.open)
	assert.EqualError(t, err, "a.s16: it ends after 100000 of the 238420 samples of its description")
}

func TestFormatOf(t *testing.T) {
	for path, want := range map[string]string{
		"a.wav": WAV, "x/A.WAV": WAV, "a.b.s16": S16, "a.u16": U16, "a.csv": CSV, "a.y4m": "", "wav": "", ".wav": "", "a": "", "": "",
	} {
		got, ok := FormatOf(path)
		assert.Equal(t, want, got, path)
		assert.Equal(t, want != "", ok, path)
	}
}

func TestRefuses(t *testing.T) {
	_, err := request("mp3", "pal", timing.Scan625i).Layout()
	assert.EqualError(t, err, `unknown format "mp3"; use one of wav, s16, u16, csv`)
	_, err = request(WAV, "pal", timing.Scan525i).Layout()
	assert.ErrorContains(t, err, "pal belongs to 625 lines and the raster has the lines of 525/60; use composite-m")
	ctx, stop := context.WithCancel(context.Background())
	stop()
	j, err := request(WAV, "pal", timing.Scan625i).Layout()
	require.NoError(t, err)
	_, err = j.Write(ctx, io.Discard, false)
	assert.ErrorIs(t, err, context.Canceled)
}

// FuzzParse: a description is refused, or what it describes can be asked for.
func FuzzParse(f *testing.F) {
	_, _, m := write(f, request(WAV, "composite-m", timing.Scan262))
	side, err := m.JSON()
	require.NoError(f, err)
	f.Add(side)
	f.Add([]byte(`{"schema":"backporch/wave/1","wire":"pal","scan":"625i"}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		m, err := Parse(b)
		if err != nil {
			return
		}
		_, err = m.Decode(strings.NewReader("RIFF"), 1)
		require.Error(t, err)
	})
}
