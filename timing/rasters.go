package timing

import "strings"

// clock601 is the luma sampling rate of ITU-R BT.601-5 table 2.
var clock601 = Int(13_500_000)

// Sample 0 after 0H, in periods of 13.5 MHz: ITU-R BT.601-5 table 2 and
// figures 1 and 2.
const (
	start525 = 122
	start625 = 132
)

// interleave returns n rows for each field, alternating, beginning with the
// line numbered top and then the one numbered next, each n times one more.
func interleave(s *Scan, top, next, n int) []Line {
	field := func(number int) Line { return Line{number, s.FieldOf(number)} }
	lines := make([]Line, 0, 2*n)
	for i := range n {
		lines = append(lines, field(top+i), field(next+i))
	}
	return lines
}

// consecutive returns n rows of one field from line first on.
func consecutive(first, n int) []Line {
	lines := make([]Line, n)
	for i := range lines {
		lines[i] = Line{first + i, 1}
	}
	return lines
}

func raster601(name, note string, s *Scan, lines []Line) *Raster {
	start := int64(start525)
	if s.System == System625 {
		start = start625
	}
	return &Raster{Name: name, Note: note, Scan: s, Clock: clock601, Start: Int(start), Width: 720, Lines: lines}
}

// rasters is in the order in which they are listed.
var rasters = []*Raster{
	// Rows 5-484 of the 486, the crop named after SMPTE RP 202: rows secondary,
	// lines calculated.
	raster601("480i", "525/60 files and discs, upper field first", Scan525i, interleave(Scan525i, 23, 286, 240)),
	// Rows 4-483 of the 486: rows secondary, lines calculated.
	raster601("480i-dv", "525/60 in the crop of DV, lower field first", Scan525i, interleave(Scan525i, 285, 23, 240)),
	// From the porches of CEA-861 formats 6 and 7: porches secondary, lines
	// calculated. Samples are those of the studio raster.
	raster601("480i-cea", "525/60, upper field first; only its rows are those of CEA-861", Scan525i, interleave(Scan525i, 22, 285, 240)),
	// SMPTE 170M figure 6, half lines taken full width.
	raster601("486i", "525/60, every picture line of the studio frame", Scan525i, interleave(Scan525i, 283, 21, 243)),
	// EBU Tech 3280-E figure 6.
	raster601("576i", "625/50 files and discs, upper field first", Scan625i, interleave(Scan625i, 23, 336, 288)),
	// Line numbers of 625-line DV: memory.
	raster601("576i-dv", "625/50 in the crop of DV, lower field first", Scan625i, interleave(Scan625i, 335, 23, 288)),
	// From the porches of CEA-861 formats 8, 9, 23 and 24: porches secondary,
	// lines calculated.
	raster601("240p", "262 lines, 227.5 cycles: dot crawl stands still", Scan262, consecutive(22, 240)),
	raster601("240p-263", "263 lines, 227.5 cycles: dots alternate", Scan263, consecutive(22, 240)),
	raster601("240p-228", "262 lines, 228 cycles: upright dots", Scan262c228, consecutive(22, 240)),
	raster601("240p-227.33", "262 lines, 227 1/3 cycles: dots in three phases", Scan262c227_33, consecutive(22, 240)),
	raster601("288p", "312 lines, 283.75 cycles", Scan312, consecutive(23, 288)),
	raster601("288p-313", "313 lines, 283.75 cycles", Scan313, consecutive(23, 288)),
}

// Rasters returns the built-in rasters in listing order. The slice is the
// caller's; the rasters are shared and must not be changed.
func Rasters() []*Raster { return append([]*Raster(nil), rasters...) }

// FullFrame returns the raster with r's scan and samples that holds every
// picture line of the system, half lines full width: lines 21-263 and
// 283-525, or 23-310 and 336-623. It is what ITU-R BT.656 carries. r must be
// interlaced; for others it returns nil.
func (r *Raster) FullFrame() *Raster {
	if !r.Scan.Interlaced() {
		return nil
	}
	f := *r
	if r.Scan.System == System525 {
		f.Lines = interleave(r.Scan, 283, 21, 243)
	} else {
		f.Lines = interleave(r.Scan, 23, 336, 288)
	}
	f.Name = r.Name + " full frame"
	return &f
}

// Lookup returns the raster of that name, or nil. Case does not matter.
func Lookup(name string) *Raster {
	for _, r := range rasters {
		if strings.EqualFold(r.Name, name) {
			return r
		}
	}
	return nil
}
