// Package table prints rows of figures as aligned text, as CSV and as JSON
// from one description of their columns, so that the three cannot disagree.
//
// A [Table] is a list of columns and rows; a [Record] is a list of single
// facts, optionally followed by tables. Both are a [Document]. A figure is
// rounded once, to the decimals of its column, and all three forms show the
// same digits.
//
// Text has the unit in the head and is meant for people: nothing in it depends
// on color, and it fits the given width where words allow: cells of words are
// wrapped, figures never, nor codes such as "16 128 128 to 235 128 128". JSON is for
// programs: it begins with
//
//	{"schema":"backporch/<name>/1"
//
// keys end in their unit ("luma_ire"), their order is that of the columns, and
// a value that does not exist or is not finite is null. Within a version of the
// schema keys are only added. CSV follows RFC 4180 as package encoding/csv
// writes it, with one head line and \n at line ends; of a record it has the
// first table, or the facts where there is none.
//
// The package knows nothing of video.
package table

import (
	"fmt"
	"io"
	"strings"
)

// Document is what can be printed in the three forms. Width is the number of
// terminal cells for text, 0 for no limit; the other forms ignore it.
type Document interface {
	Write(w io.Writer, f Format, width int) error
}

// Format is one of the three forms.
type Format int

// The forms.
const (
	Text Format = iota
	CSV
	JSON

	numFormats
)

var formatNames = [numFormats]string{"text", "csv", "json"}

// String returns the name as [ParseFormat] takes it.
func (f Format) String() string {
	if f < 0 || f >= numFormats {
		return fmt.Sprintf("Format(%d)", int(f))
	}
	return formatNames[f]
}

// Formats lists the names of the forms.
func Formats() []string { return formatNames[:] }

// ParseFormat is the inverse of String.
func ParseFormat(s string) (Format, error) {
	for f, name := range formatNames {
		if s == name {
			return Format(f), nil
		}
	}
	return 0, fmt.Errorf("there is no table format %q; use one of %s", s, strings.Join(formatNames[:], ", "))
}
