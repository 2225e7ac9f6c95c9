// Package job keeps the record of the work on one set: what it is, what was
// done to it, what was measured, and what comes next.
//
// A job is a plain JSON file in a workshop folder. All that it holds are
// entries, each with the time at which it was made; an entry is never altered or
// removed. A correction is a new entry that names the old one, which then no
// longer counts. The order of work ([Plan]) is computed from the description
// of the set; what is done, waiting or open again follows from the entries alone.
//
// Patterns are named by their spelling ("flat color=red"), levels in per cent
// of white, light in cd/m2, lengths in mm. The package draws nothing, knows no
// colorimetry, and judges no reading.
package job
