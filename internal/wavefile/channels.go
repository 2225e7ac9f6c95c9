// Package wavefile keeps a signal in a file of samples, and the description
// that such a file cannot do without beside it: a JSON that says which signal
// it is, at what rate, what every channel's codes stand for, and where the
// first sample lies.
//
// A [Job] writes both; [Read] takes both and gives the signal back. Whoever
// opens the files hands them over: nothing here touches a disk.
package wavefile

import (
	"fmt"
	"strings"

	"backporch/internal/composite"
	"backporch/internal/encode/samples"
)

// The formats of a sample file.
const (
	WAV = "wav" // RIFF/WAVE of s16
	S16 = "s16" // signed words: 32 times the 10-bit code less that of blanking
	U16 = "u16" // 10-bit codes in words
	CSV = "csv" // text: a few lines, in mV
)

// Formats names the formats in listing order. They are extensions too.
func Formats() []string { return []string{WAV, S16, U16, CSV} }

// FormatOf returns the format that a file's extension stands for, and whether
// it is one. Case does not matter.
func FormatOf(path string) (format string, ok bool) {
	for _, f := range Formats() {
		if len(path) > len(f)+1 && strings.EqualFold(path[len(path)-len(f)-1:], "."+f) {
			return f, true
		}
	}
	return "", false
}

// SidecarName returns the name of the description of a file.
func SidecarName(path string) string { return path + ".json" }

// scales returns the scale of each channel of a wire in a format of words. A
// composite signal has that of its standard; the other wires have the scale of
// the composite signal with as many lines, so that one mV is the same number of
// codes on every wire.
func scales(format string, w *composite.Wire, lines int) []samples.Scale {
	var list []samples.Scale
	for _, c := range w.Channels() {
		if format == U16 {
			list = append(list, samples.U16(lines, swings(c)))
		} else {
			list = append(list, samples.S16(lines))
		}
	}
	return list
}

// swings reports whether a channel goes as far below 0 mV as above.
func swings(channel string) bool { return channel == "C" || channel == "PB" || channel == "PR" }

// usable reports a format that is none.
func usable(format string) error {
	for _, f := range Formats() {
		if f == format {
			return nil
		}
	}
	return fmt.Errorf("unknown format %q; use one of %s", format, strings.Join(Formats(), ", "))
}
