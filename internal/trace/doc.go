// Package trace measures what an oscilloscope has recorded at a connector: one
// signal of a video cable, as a text file of times and volts. It needs no
// capture device, only a scope that exports.
//
// [Read] takes the file apart, whatever its headings; [Measure] finds sync in
// the samples, and says how long and how high everything on the line is, next
// to what a pattern's patches must read there. Like the instrument it knows
// nothing of how the signal was made: levels come from the samples alone, and
// where a line begins from its sync.
//
// Levels are from SMPTE 170M-2004, ITU-R BT.1700 and BT.470-6; each tolerance
// names its source. What no document gives a tolerance for is marked "common
// practice". The package draws nothing and opens no files.
package trace
