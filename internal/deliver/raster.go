package deliver

import (
	"fmt"
	"slices"
	"strings"

	"backporch/timing"
)

// Raster returns the raster that a file for r has: r itself, or its sister in
// the crop of DV where the target has only that. The error says why there is
// none, and what to do.
func (t *Target) Raster(r *timing.Raster) (*timing.Raster, error) {
	if slices.Contains(t.Rasters, r.Name) {
		return r, nil
	}
	if s := timing.Lookup(r.Name + "-dv"); s != nil && slices.Contains(t.Rasters, s.Name) {
		return s, nil
	}
	return nil, fmt.Errorf("target %s cannot have raster %s: %s; %s", t.Name, r.Name, t.why(r), t.way(r))
}

// why is the reason why the target has not the raster.
func (t *Target) why(r *timing.Raster) string {
	low := !r.Scan.Interlaced()
	switch {
	case t.Name == "mpeg2-dvd" && low:
		return "DVD-Video has 480 or 576 interlaced rows; smaller pictures are played as interlaced ones all the same"
	case t.Name == "dv" && low:
		return "DV has 480 or 576 interlaced rows"
	case r.Name == "486i":
		return "486 rows are those of the studio, and of them 243 a field cannot be paired for 4:2:0"
	default:
		return "its files hold " + strings.Join(t.Rasters, ", ")
	}
}

// way is what to do instead.
func (t *Target) way(r *timing.Raster) string {
	lines := r.Scan.System.Lines()
	for _, name := range t.Rasters { // the first of the same system and scan, else of the system
		if s := timing.Lookup(name); s.Scan == r.Scan {
			return "use --raster " + name
		}
	}
	if !r.Scan.Interlaced() {
		return fmt.Sprintf("use target h264-mp4 for %d lines that are not interlaced", r.Height())
	}
	return fmt.Sprintf("use one of its rasters of %d lines: %s", lines, strings.Join(t.Rasters, ", "))
}
