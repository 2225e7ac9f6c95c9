package trace

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// bench is a short record for the tests of files: 3 us of a slope and a tone.
func bench() *Trace {
	r := &Trace{Name: "CH1", Start: -1e-6, Step: 4e-9}
	for i := range 750 {
		r.MV = append(r.MV, float64(i%97)*7.25-120)
	}
	return r
}

func comma(s string) string { return strings.ReplaceAll(s, ".", ",") }

// The forms in which scopes export: every one reads as the same samples.
func TestForms(t *testing.T) {
	plain := func(i int, s, v float64) string { return fmt.Sprintf("%.9e,%.6f\n", s, v) }
	for _, tt := range []struct {
		name    string
		head    string
		row     func(i int, s, v float64) string
		options Options
		note    string
	}{
		{"two headings", "Time,Channel A\n(us),(mV)\n\n", func(i int, s, v float64) string { return fmt.Sprintf("%.6f,%.5f\n", s*1e6, v*1e3) }, Options{}, ""},
		{"name and units below", "x-axis,1\nsecond,Volt\n", plain, Options{}, ""},
		{"units in brackets", "Time (s),CH1 (V)\n", plain, Options{}, ""},
		{"units in square brackets", "\"Time [s]\",\"CH1 [V]\"\n", plain, Options{}, ""},
		{"decimal commas", "Time(us);CH1(mV)\r\n", func(i int, s, v float64) string {
			return comma(fmt.Sprintf("%.6f;%.5f\r\n", s*1e6, v*1e3))
		}, Options{}, ""},
		{"decimal commas in quotes", "\"Time (s)\",\"CH1 (V)\"\n", func(i int, s, v float64) string { return comma(fmt.Sprintf("\"%.9f\";\"%.6f\"\n", s, v)) }, Options{}, ""},
		{"tabs", "Time\tVoltage\ns\tV\n", func(i int, s, v float64) string { return fmt.Sprintf("%.9E\t%.6E\n", s, v) }, Options{}, ""},
		{"tabs and decimal commas", "t/s\tU/mV\n", func(i int, s, v float64) string { return comma(fmt.Sprintf("%.9f\t%.4f\n", s, v*1e3)) }, Options{}, ""},
		{"blanks", "% time volts\n", func(i int, s, v float64) string { return fmt.Sprintf("  %.9f   %9.6f\n", s, v) }, Options{Unit: "V"}, ""},
		{"no heading", "", plain, Options{}, "no unit; it is read as volts"},
		{"a heading without units", "Time,CH1\n", plain, Options{}, "no unit; it is read as volts"},
		{"microseconds without a unit", "Time,CH1 (V)\n", func(i int, s, v float64) string { return fmt.Sprintf("%.6f,%.6f\n", s*1e6, v) }, Options{}, "read as us"},
		{"a byte order mark", "\ufeffTime (s),CH1 (V)\n", plain, Options{}, ""},
		{"settings above", "Model,Bench scope\nRecord Length,750\nVertical Scale,2.0E-01\n\nSource,CH1\nProbe,1.0\nTime (s),CH1 (V)\n", plain, Options{}, ""},
		{"comments above", "# exported\n# rate: 250 MS/s\nTime (s),CH1 (V)\n", plain, Options{}, ""},
		{"interval instead of time", "Record Length,750\nSample Interval,4e-9\nVertical Units,V\nCH1 (V)\n", func(i int, s, v float64) string { return fmt.Sprintf("%.6f\n", v) }, Options{}, ""},
		{"rate instead of time", "Sample rate: 250 MSa/s\nCH1 (mV)\n", func(i int, s, v float64) string { return fmt.Sprintf("%.4f\n", v*1e3) }, Options{}, ""},
		{"rate in cells", "Sampling Rate,250,MHz\nCH1 (mV)\n", func(i int, s, v float64) string { return fmt.Sprintf("%.4f\n", v*1e3) }, Options{}, ""},
		{"interval with its unit", "Sample Interval = 4 ns\nCH1 (mV)\n", func(i int, s, v float64) string { return fmt.Sprintf("%.4f\n", v*1e3) }, Options{}, ""},
		{"interval told", "CH1 (V)\n", func(i int, s, v float64) string { return fmt.Sprintf("%.6f\n", v) }, Options{Interval: 4e-9}, ""},
		{"start and increment", "X,CH1,Start,Increment\nSequence,Volt,-1.0e-06,4.0e-09\n", func(i int, s, v float64) string { return fmt.Sprintf("%d,%.6f,\n", i, v) }, Options{}, ""},
		{"index and interval", "Sample interval,4e-9\nIndex,CH1 (V)\n", func(i int, s, v float64) string { return fmt.Sprintf("%d,%.6f\n", i, v) }, Options{}, ""},
		{"settings beside", "", func(i int, s, v float64) string {
			left := []string{"Record Length,7.5e+02,Points", "Sample Interval,4e-09,s", "Trigger Point,2.5e+02,Samples", "Source,CH1,", "Vertical Units,V,"}
			if i < len(left) {
				return left[i] + fmt.Sprintf(",%.9f,%.6f\n", s, v)
			}
			return fmt.Sprintf(",,,%.9f,%.6f\n", s, v)
		}, Options{}, "no unit"},
		{"a trailing comma", "Time (s),CH1 (V),\n", func(i int, s, v float64) string { return fmt.Sprintf("%.9f,%.6f,\n", s, v) }, Options{}, ""},
		{"rounded times", "Time (s),CH1 (V)\n", func(i int, s, v float64) string { return fmt.Sprintf("%.8f,%.6f\n", s, v) }, Options{}, ""},
		{"two signals", "Time (s),CH1 (V),CH2 (V)\n", func(i int, s, v float64) string { return fmt.Sprintf("%.9f,%.6f,%.6f\n", s, 0.5, v) }, Options{Channel: "ch2"}, ""},
		{"two signals by number", "Time (s),Left (V),Right (V)\n", func(i int, s, v float64) string { return fmt.Sprintf("%.9f,%.6f,%.6f\n", s, 0.5, v) }, Options{Channel: "2"}, ""},
		{"two signals by the whole heading", "Time (s),CH1 (V),CH2 (V)\n", func(i int, s, v float64) string { return fmt.Sprintf("%.9f,%.6f,%.6f\n", s, 0.5, v) }, Options{Channel: "CH2 (V)"}, ""},
		{"two times", "Time (s),CH1 (V),Time (us),CH2 (V)\n", func(i int, s, v float64) string {
			return fmt.Sprintf("%.9f,%.6f,%.6f,%.6f\n", 2*s, 0.5, s*1e6, v)
		}, Options{Channel: "CH2"}, ""},
		{"time named", "a,b,c\n", func(i int, s, v float64) string { return fmt.Sprintf("%d,%.9f,%.6f\n", i, s, v) }, Options{Time: "b", Channel: "c"}, "volts"},
		{"time by number", "a,b,c\n", func(i int, s, v float64) string { return fmt.Sprintf("%d,%.9f,%.6f\n", i, s, v) }, Options{Time: "2", Channel: "1"}, "volts"},
		{"the time last", "CH1 (V),Time (s)\n", func(i int, s, v float64) string { return fmt.Sprintf("%.6f,%.9f\n", v, s) }, Options{}, ""},
		{"millivolts told", "Time,A\n", func(i int, s, v float64) string { return fmt.Sprintf("%.9f,%.4f\n", s, v*1e3) }, Options{Unit: "mV"}, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			want := bench()
			got, err := Read(strings.NewReader(csv(want, tt.head, tt.row)), tt.options)
			require.NoError(t, err)
			require.Len(t, got.MV, len(want.MV))
			for i := range want.MV {
				require.InDelta(t, want.MV[i], got.MV[i], 1e-3, "sample %d", i)
			}
			assert.InEpsilon(t, 4e-9, got.Step, 0.01)
			if tt.note == "" {
				assert.Empty(t, got.Notes)
			} else {
				assert.Contains(t, strings.Join(got.Notes, " "), tt.note)
			}
		})
	}
}

// Sync of another column comes with the signal.
func TestReadSync(t *testing.T) {
	text := csv(bench(), "Time (s),PB (V),Y (mV)\n", func(i int, s, v float64) string { return fmt.Sprintf("%.9f,%.6f,%d\n", s, v, i) })
	r, err := Read(strings.NewReader(text), Options{Channel: "PB", Sync: "Y"})
	require.NoError(t, err)
	assert.Equal(t, "PB", r.Name)
	require.Len(t, r.Sync, len(r.MV))
	assert.InDelta(t, 700, r.Sync[700], 1e-9)
	r, err = Read(strings.NewReader(text), Options{Channel: "Y", Sync: "Y"})
	require.NoError(t, err)
	assert.Nil(t, r.Sync)
}

// A probe that the scope did not know of is taken out.
func TestReadProbe(t *testing.T) {
	text := csv(bench(), "Time (s),CH1 (V)\n", func(i int, s, v float64) string { return fmt.Sprintf("%.9f,%.7f\n", s, v/10) })
	r, err := Read(strings.NewReader(text), Options{Probe: 10})
	require.NoError(t, err)
	assert.InDelta(t, bench().MV[50], r.MV[50], 1e-2)
}

// What is no table of samples is refused, with its place and a way out.
func TestReadErrors(t *testing.T) {
	row := func(i int, s, v float64) string { return fmt.Sprintf("%.9f,%.6f\n", s, v) }
	head := "Time (s),CH1 (V)\n"
	good := csv(bench(), head, row)
	lines := strings.SplitAfter(good, "\n")
	replaced := func(n int, text string) string {
		l := append([]string(nil), lines...)
		l[n-1] = text + "\n"
		return strings.Join(l, "")
	}
	for _, tt := range []struct {
		name    string
		text    string
		options Options
		want    string
	}{
		{"nothing", "", Options{}, "the file is empty"},
		{"blank rows", "\n\n;;\n", Options{}, "the file is empty"},
		{"words", "the scope of Bench A\nno samples here\nat all\n", Options{}, "no rows of numbers"},
		{"a binary file", "Time,CH1\n0,1\x00\n", Options{}, "row 2 holds binary data"},
		{"16 bits a character", "\xff\xfeT\x00i\x00", Options{}, "16 bits a character"},
		{"a very long row", strings.Repeat("1,", 40000), Options{}, "row 1 is longer than 65536 characters"},
		{"few samples", head + "0,1\n1e-9,2\n2e-9,3\n", Options{}, "only 3 samples"},
		{"text in numbers", replaced(500, "1.0e-6,abc"), Options{}, `row 500, column 2: "abc" is no number`},
		{"text in numbers near the start", replaced(20, "1.0e-6,abc"), Options{}, `row 20, column 2: "abc" is no number`},
		{"overflow", replaced(600, "1.0e-6,inf"), Options{}, `row 600, column 2: "inf" is no number; if the signal left the screen of the scope there, choose more volts a division`},
		{"a row cut off", replaced(600, "1.0e-6"), Options{}, "row 600 has no number in column 2"},
		{"two records", good + strings.Join(lines[1:], ""), Options{}, `the time in column "Time" goes back after sample 750`},
		{"a gap", csv(bench(), head, func(i int, s, v float64) string {
			if i > 300 {
				s += 1e-6
			}
			return row(i, s, v)
		}), Options{}, "samples are missing"},
		{"a time that stands", csv(bench(), head, func(i int, s, v float64) string { return row(i, 0, v) }), Options{}, `the time in column "Time" does not advance`},
		{"no time", csv(bench(), "CH1 (V)\n", func(i int, s, v float64) string { return fmt.Sprintf("%.6f\n", v) }), Options{}, "--sample-interval"},
		{"time alone", csv(bench(), "Time (s)\n", func(i int, s, v float64) string { return fmt.Sprintf("%.9f\n", s) }), Options{}, "no column of a signal"},
		{"which signal", csv(bench(), "Time (s),CH1 (V),CH2 (V)\n", func(i int, s, v float64) string { return fmt.Sprintf("%.9f,1,%.6f\n", s, v) }), Options{}, "the file has 2 signals; choose one with --channel: CH1, CH2"},
		{"no such signal", good, Options{Channel: "CH4"}, `--channel: the file has no column "CH4"; it has CH1`},
		{"no such number", good, Options{Channel: "2"}, `--channel: the file has no column "2"`},
		{"no such time", good, Options{Time: "t"}, `--time-column: the file has no column "t"; it has Time, CH1`},
		{"no such sync", good, Options{Sync: "CH2"}, `--sync-channel: the file has no column "CH2"`},
		{"no such unit", good, Options{Unit: "A"}, `--scope-unit: "A" is neither V nor mV`},
		{"a rate of audio", csv(bench(), "Time (s),CH1 (V)\n", func(i int, s, v float64) string { return row(i, float64(i)*1e-4, v) }), Options{}, "no record of video"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Read(strings.NewReader(tt.text), tt.options)
			require.ErrorContains(t, err, tt.want)
		})
	}
}

// Commas between and within numbers cannot be told apart; the message says so.
func TestTwoMeaningsOfComma(t *testing.T) {
	text := csv(bench(), "", func(i int, s, v float64) string {
		return comma(fmt.Sprintf("%.6f", s*1e6)) + "," + comma(fmt.Sprintf("%.4f", v)) + "\n"
	})
	_, err := Read(strings.NewReader(text), Options{})
	require.Error(t, err)
}

// A file goes the whole way: read, and measured as what was written.
func TestReadMeasure(t *testing.T) {
	d := ntscBars(t)
	k := take{mhz: 50, before: 3, offset: 60}
	rec := k.scope(-3, 2*d.period+1, d.at)
	text := csv(rec, "Time(us);CH1(mV)\n", func(i int, s, v float64) string { return comma(fmt.Sprintf("%.4f;%.2f\n", s*1e6, v*1e3)) })
	got, err := Read(strings.NewReader(text), Options{})
	require.NoError(t, err)
	r, err := Measure(got, Conditions{}, targetOf(t, ntsc75, "480i", "composite-m", ""))
	require.NoError(t, err)
	printed(t, r, exactMV, exactDegrees)
	assert.InDelta(t, 60, r.Blanking, exactMV)
}

// FuzzRead: a file is refused, or is a trace that can be measured or refused.
func FuzzRead(f *testing.F) {
	f.Add("Time (s),CH1 (V)\n0,1\n1e-9,2\n2e-9,3\n", "", "", "")
	f.Add("Time(us);CH1(mV)\n0,1;2,5\n0,2;3,5\n0,3;1\n", "1", "", "mV")
	f.Add("X,CH1,Start,Increment\nSequence,Volt,-1e-6,4e-9\n0,1,\n1,2,\n2,1,\n", "", "", "")
	f.Add(csv(bench(), "Record Length,750\nTime\tA\tB\n", func(i int, s, v float64) string { return fmt.Sprintf("%.9f\t%f\t%d\n", s, v, i) }), "B", "A", "V")
	f.Add(csv(bench(), "", func(i int, s, v float64) string { return fmt.Sprintf("\"%.9f\",\"%f\n", s, v) }), "", "", "")
	target := targetOf(f, "flat", "240p", "composite-m", "")
	f.Fuzz(func(t *testing.T, text, channel, sync, unit string) {
		r, err := Read(strings.NewReader(text), Options{Channel: channel, Sync: sync, Unit: unit})
		if err != nil {
			assert.NotEmpty(t, err.Error())
			return
		}
		require.GreaterOrEqual(t, len(r.MV), fewPoints)
		require.True(t, r.Step > 0 && !math.IsInf(r.Step, 0), "%v", r.Step)
		require.True(t, r.Sync == nil || len(r.Sync) == len(r.MV))
		if m, err := Measure(r, Conditions{}, target); err == nil {
			m.Fit()
		}
	})
}
