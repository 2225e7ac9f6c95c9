package trace

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
)

// Options say what the headings of a file do not. The zero value leaves all to
// them.
type Options struct {
	Channel  string  // column of the signal: its heading, or its number among the signals from 1
	Sync     string  // column that carries sync, where the signal has none: likewise
	Time     string  // column of time: its heading, or its number in the file from 1
	Unit     string  // of the signal, and of sync: V or mV
	Probe    float64 // what the probe divides by, where the scope did not know of it; 0: 1
	Interval float64 // from sample to sample, seconds, where the file does not say; 0: it does
}

// A Trace is one signal as it was recorded, at even steps.
type Trace struct {
	Name  string    // heading of its column
	Start float64   // of the first sample, seconds on the scope's own scale
	Step  float64   // from sample to sample, seconds
	MV    []float64 // mV on the scope's own scale: blanking may lie anywhere
	Sync  []float64 // at the same instants, the signal with sync where it is another; else nil
	Notes []string  // what had to be assumed
}

// Rate returns samples a second.
func (t *Trace) Rate() float64 { return 1 / t.Step }

const (
	headLines = 400        // of a file are looked at to find its form
	maxLine   = 1 << 16    // bytes: no export has a longer one
	maxPoints = 20_000_000 // two columns of them are 320 MB
	fewPoints = 64         // fewer are no line at any rate
)

// Read reads the text file that a scope exports: whatever stands above the
// samples, then rows of numbers separated by commas, semicolons, tabs or
// blanks, with decimal points or commas. An error names the row and the way
// out.
func Read(r io.Reader, o Options) (*Trace, error) {
	s := &rows{b: bufio.NewReaderSize(r, 1<<16)}
	var head []string
	for len(head) < headLines {
		line, err := s.next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, err
		}
		head = append(head, line)
	}
	form, first, err := formOf(head)
	if err != nil {
		return nil, err
	}
	h := form.headings(head, first)
	c, err := h.choose(o)
	if err != nil {
		return nil, err
	}
	l := &loader{form: form, columns: c}
	for i, line := range head[first:] {
		if err := l.add(line, first+i+1); err != nil {
			return nil, err
		}
	}
	for {
		line, err := s.next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, err
		}
		if err := l.add(line, s.n); err != nil {
			return nil, err
		}
	}
	return l.trace(h, o)
}

// rows hands out the lines of a file, without their ends.
type rows struct {
	b *bufio.Reader
	n int // lines handed out
}

func (s *rows) next() (string, error) {
	text, err := s.b.ReadSlice('\n')
	if s.n == 0 {
		if bytes.HasPrefix(text, []byte{0xff, 0xfe}) || bytes.HasPrefix(text, []byte{0xfe, 0xff}) {
			return "", errors.New("the file is text of 16 bits a character; save it again as plain text (UTF-8 or ASCII)")
		}
		text = bytes.TrimPrefix(text, []byte{0xef, 0xbb, 0xbf}) // a byte order mark
	}
	switch {
	case errors.Is(err, bufio.ErrBufferFull) || len(text) > maxLine:
		return "", fmt.Errorf("row %d is longer than %d characters, which no table of samples is; export as CSV or text", s.n+1, maxLine)
	case err != nil && !errors.Is(err, io.EOF):
		return "", err
	case len(text) == 0 && err != nil:
		return "", io.EOF
	case bytes.IndexByte(text, 0) >= 0:
		return "", fmt.Errorf("row %d holds binary data; export as CSV or text, not in the scope's own format", s.n+1)
	}
	s.n++
	return strings.TrimRight(string(text), "\r\n"), nil
}

// A loader collects the columns that are wanted.
type loader struct {
	form
	columns
	time, value, sync []float64
	cells             []string
}

// add takes one row; n is its number in the file.
func (l *loader) add(line string, n int) error {
	if blank(line) {
		return nil
	}
	if len(l.value) >= maxPoints {
		return fmt.Errorf("there are more than %d samples; export a few lines or one field at a lower rate: 100 MS/s is plenty", maxPoints)
	}
	l.cells = l.split(l.cells[:0], line)
	take := func(dst *[]float64, column int) error {
		if column < 0 {
			return nil
		}
		v, err := l.number(l.cells, column, n)
		*dst = append(*dst, v)
		return err
	}
	if err := take(&l.time, l.at); err != nil {
		return err
	}
	if err := take(&l.value, l.signal); err != nil {
		return err
	}
	return take(&l.sync, l.second)
}

// number reads one cell; the error names its place.
func (l *loader) number(cells []string, column, row int) (float64, error) {
	if column >= len(cells) || cells[column] == "" {
		return 0, fmt.Errorf("row %d has no number in column %d; export the record again, or cut the file off before it", row, column+1)
	}
	v, ok := l.parse(cells[column])
	if !ok {
		return 0, fmt.Errorf("row %d, column %d: %q is no number; if the signal left the screen of the scope there, choose more volts a division, else export the record again", row, column+1, clip(cells[column]))
	}
	return v, nil
}

// clip shortens what is quoted from a file.
func clip(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "..."
	}
	return s
}

// trace puts together what was read.
func (l *loader) trace(h *headings, o Options) (*Trace, error) {
	t := &Trace{Name: h.name(l.signal), Sync: l.sync}
	if len(l.value) < fewPoints {
		return nil, fmt.Errorf("there are only %d samples; record at least one whole line, about 65 us", len(l.value))
	}
	unit, note, err := h.unit(l.signal, o.Unit)
	if err != nil {
		return nil, err
	}
	if note != "" {
		t.Notes = append(t.Notes, note)
	}
	if o.Probe > 0 {
		unit *= o.Probe
	}
	t.MV = scaled(l.value, unit)
	if l.second >= 0 {
		unit, _, err := h.unit(l.second, o.Unit)
		if err != nil {
			return nil, err
		}
		t.Sync = scaled(l.sync, unit)
	}
	return t, l.steps(t, h, o)
}

func scaled(v []float64, by float64) []float64 {
	for i := range v {
		v[i] *= by
	}
	return v
}

// join makes one time of times that begin anew with each line, as in the text
// files of wave, whose samples follow each other without a gap.
func join(time []float64) {
	if len(time) < 2 {
		return
	}
	step, before, add := time[1]-time[0], time[0], 0.0
	for i, t := range time {
		if t < before {
			add = time[i-1] + step - t
		}
		before, time[i] = t, t+add
	}
}

// steps finds when the samples were taken.
func (l *loader) steps(t *Trace, h *headings, o Options) error {
	declared := h.interval
	if o.Interval > 0 {
		declared = o.Interval
	}
	switch {
	case l.at < 0 && declared > 0:
		t.Start, t.Step = h.start, declared
		return plausible(t)
	case l.at < 0:
		return errors.New("there is no column of time, and no heading that says the sample interval; name the column with --time-column, or give --sample-interval in seconds, such as 4e-9")
	}
	if h.byLine() {
		join(l.time)
	}
	first, last := l.time[0], l.time[len(l.time)-1]
	step := (last - first) / float64(len(l.time)-1)
	if step <= 0 {
		return fmt.Errorf("the time in column %q does not advance: it goes from %g to %g; name the right one with --time-column (a file with commas both between and within numbers cannot be read: export with decimal points)", h.name(l.at), first, last)
	}
	// A rounded time repeats itself, and is off by a digit; what is off by more
	// than that and half a step is a gap.
	digit := 0.0
	for i := 1; i < len(l.time); i++ {
		if d := l.time[i] - l.time[i-1]; d > digit {
			digit = d
		}
		if l.time[i] < l.time[i-1] {
			return fmt.Errorf("the time in column %q goes back after sample %d, from %g to %g; export one record, not several", h.name(l.at), i, l.time[i-1], l.time[i])
		}
	}
	typical := median(differences(l.time))
	if allowed := max(2.5*typical, 1.5*step); typical > 0 && digit > allowed+1e-12*math.Abs(last) && digit > 4*step {
		return fmt.Errorf("the time in column %q jumps by %g where it advances by %g else: samples are missing; export one record without gaps, not segments or peak-detect", h.name(l.at), digit, typical)
	}
	unit := h.timeUnit(l.at)
	if unit == 0 {
		unit = 1
		for _, u := range []float64{1, 1e-3, 1e-6, 1e-9} {
			if rate := 1 / (step * u); rate >= 8e6 && rate < 8e9 {
				unit = u
			}
		}
		if unit != 1 {
			t.Notes = append(t.Notes, fmt.Sprintf("The time has no unit; it is read as %s, the only one that gives a scope's rate.", map[float64]string{1e-3: "ms", 1e-6: "us", 1e-9: "ns"}[unit]))
		}
	}
	t.Start, t.Step = first*unit, step*unit
	if o.Interval > 0 || declared > 0 && math.Abs(declared/t.Step-1) < 0.01 {
		t.Step = declared // not rounded as the column is
	}
	return plausible(t)
}

// plausible refuses rates that no record of video has.
func plausible(t *Trace) error {
	if rate := t.Rate(); !(rate >= 1e6 && rate <= 1e11) {
		return fmt.Errorf("the samples are %.4g s apart, which is no record of video; give the interval in seconds with --sample-interval", t.Step)
	}
	return nil
}

// differences are those from each of the first values to the next.
func differences(v []float64) []float64 {
	d := make([]float64, 0, min(len(v), 1000))
	for i := 1; i < len(v) && i <= 1000; i++ {
		d = append(d, v[i]-v[i-1])
	}
	return d
}
