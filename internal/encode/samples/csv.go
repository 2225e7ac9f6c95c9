package samples

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
)

// A Row is one sample of every channel in a text file.
type Row struct {
	Line         int       // of the frame, from 1
	Microseconds float64   // after 0H of the line
	Millivolts   []float64 // of each channel
}

// A Table is a text file of samples: notes, each on a line of its own after
// "# "; a row of names; and the rows, comma-separated.
type Table struct {
	Notes    []string
	Channels []string
	Rows     []Row
}

// The first names of the row of names. Those of the channels follow, with
// their unit: "Y_mV".
const (
	columnLine = "line"
	columnTime = "us"
	unit       = "_mV"
)

// AppendHead appends the notes and the row of names to dst.
func AppendHead(dst []byte, notes, channels []string) []byte {
	for _, n := range notes {
		dst = append(append(append(dst, "# "...), n...), '\n')
	}
	dst = append(dst, columnLine+","+columnTime...)
	for _, c := range channels {
		dst = append(append(append(dst, ','), c...), unit...)
	}
	return append(dst, '\n')
}

// AppendLine appends the samples of one line to dst, one row each: times with
// 6 decimals, levels with 3. Sample i lies at first + i*step microseconds after
// 0H.
func AppendLine(dst []byte, line int, first, step float64, mv [][]float32) []byte {
	for i := range mv[0] {
		dst = append(strconv.AppendInt(dst, int64(line), 10), ',')
		dst = strconv.AppendFloat(dst, first+float64(float64(i)*step), 'f', 6, 64)
		for _, c := range mv {
			// + 0 takes the sign from a zero.
			dst = strconv.AppendFloat(append(dst, ','), math.Round(float64(c[i])*1000)/1000+0, 'f', 3, 64)
		}
		dst = append(dst, '\n')
	}
	return dst
}

// ReadTable reads a text file of samples. An error names the line of the file.
func ReadTable(r io.Reader) (*Table, error) {
	t := &Table{}
	b := bufio.NewReader(r)
	head := 0
	for {
		c, err := b.Peek(1)
		if errors.Is(err, io.EOF) {
			return nil, errors.New("there is no row of names")
		}
		if err != nil {
			return nil, err
		}
		if c[0] != '#' {
			break
		}
		line, err := b.ReadString('\n')
		if err != nil && !errors.Is(err, io.EOF) {
			return nil, err
		}
		t.Notes = append(t.Notes, strings.TrimSpace(line[1:]))
		head++
	}
	z := csv.NewReader(b)
	z.ReuseRecord = true
	names, err := z.Read()
	if err != nil {
		return nil, err
	}
	if len(names) < 3 || names[0] != columnLine || names[1] != columnTime {
		return nil, fmt.Errorf("line %d: the columns are not %s, %s and levels", head+1, columnLine, columnTime)
	}
	for _, n := range names[2:] {
		name, ok := strings.CutSuffix(n, unit)
		if !ok || slices.Contains(t.Channels, name) {
			return nil, fmt.Errorf("line %d: column %q is no level in mV with a name of its own", head+1, n)
		}
		t.Channels = append(t.Channels, name)
	}
	for {
		record, err := z.Read()
		if errors.Is(err, io.EOF) {
			return t, nil
		}
		if err != nil {
			return nil, err
		}
		row, err := parseRow(record)
		if err != nil {
			at, _ := z.FieldPos(0)
			return nil, fmt.Errorf("line %d: %w", head+at, err)
		}
		t.Rows = append(t.Rows, row)
	}
}

func parseRow(record []string) (r Row, err error) {
	if r.Line, err = strconv.Atoi(record[0]); err != nil || r.Line < 1 {
		return r, fmt.Errorf("%q is no line of a frame", record[0])
	}
	for i, text := range record[1:] {
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			return r, fmt.Errorf("%q is no number", text)
		}
		if i == 0 {
			r.Microseconds = v
		} else {
			r.Millivolts = append(r.Millivolts, v)
		}
	}
	return r, nil
}
