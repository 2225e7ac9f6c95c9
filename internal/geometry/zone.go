package geometry

import (
	"fmt"
	"strings"
)

// A Zone is a place on the screen where an eye judges and a ruler measures. U
// and V run from -1 at the left and upper edge of the picture to 1.
type Zone struct {
	Name string
	U, V float64
	// Central marks the one zone well inside the central circle; the zones at
	// top and bottom lie at its rim and are counted as outside.
	Central bool
}

// reachOfZones is where the outer zones lie, as a share of the way from the
// middle to the edge: the last crossing that overscan leaves to be seen.
const reachOfZones = 0.9

// Zones lists the nine zones, the middle first.
func Zones() []Zone {
	const r = reachOfZones
	return []Zone{
		{"center", 0, 0, true}, {"top", 0, -r, false}, {"bottom", 0, r, false}, {"left", -r, 0, false}, {"right", r, 0, false},
		{"top-left", -r, -r, false}, {"top-right", r, -r, false}, {"bottom-left", -r, r, false}, {"bottom-right", r, r, false},
	}
}

// ZoneNames lists the names of the zones.
func ZoneNames() (names []string) {
	for _, z := range Zones() {
		names = append(names, z.Name)
	}
	return names
}

// ParseZone finds a zone by its name.
func ParseZone(name string) (Zone, error) {
	for _, z := range Zones() {
		if z.Name == strings.ToLower(strings.TrimSpace(name)) {
			return z, nil
		}
	}
	return Zone{}, fmt.Errorf("%q is no zone of the screen; there are %s", name, strings.Join(ZoneNames(), ", "))
}

// LineMM is the height of one scan line on the glass: the unit in which an eye
// judges misconvergence. lines are the active lines of a whole frame.
func LineMM(pictureHeight float64, lines int) float64 {
	if lines <= 0 {
		panic("geometry: LineMM without lines")
	}
	return pictureHeight / float64(lines)
}

// LineWidths makes mm of a distance that was judged in line widths.
func LineWidths(n, lineMM float64) float64 { return n * lineMM }
