// Package device says what playing devices do to a picture: which lattice they
// put it on, which colors they have, what their own encoder adds, and which
// files they read. A picture for a device is quantized here; what its output
// then carries on another lattice is worked out from those samples alone.
package device

import (
	"fmt"
	"slices"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/pixfmt"
	"backporch/pattern"
	"backporch/timing"
)

// A Profile is what is known of a playing device.
type Profile struct {
	Name   string // as on the command line
	Title  string // one line
	Notes  []string
	Source string // of the figures

	System  *timing.System
	Rasters []*timing.Raster // that it can show; the first is the usual one
	Clocks  *Clocks          // how the pixels come about; nil where the rasters are those of a standard

	Color    Color
	Coding   *colorimetry.Coding   // what its files hold: full-range R'G'B', or limited-range Y'CbCr
	Outputs  []*colorimetry.Family // levels of plain codes on each of its outputs; the first is the usual one
	SubBlack bool                  // codes below black and above white reach the output
	Matrix   Matrix                // by which it makes Y'CbCr of R'G'B' pictures
	Scales   bool                  // it resizes pictures that are not of its own size

	Formats     []string // of files that it reads, by name; the first is the usual one
	ShortNames  bool     // file names of 8 and 3 characters
	NameLength  int      // most characters of a file name with its extension; 0: no limit is known
	Framebuffer *pixfmt.Framebuffer
	Tiles       *pixfmt.TileSet
}

// Clocks is where the pixels of a device come from.
type Clocks struct {
	Master  timing.Ratio // Hz
	Divider int64        // master clocks in a pixel
	Lines   []int64      // master clocks in a line; several take turns, line by line
	Text    string       // the master clock as a person writes it, such as "6 fsc"; "" for its Hz
}

// A Matrix is what a device makes Y'CbCr of R'G'B' with.
type Matrix int

// The matrices. A picture that went through that of BT.709 leaves an output
// that is decoded by that of BT.601 with wrong colors.
const (
	Matrix601 Matrix = iota
	Matrix709
	numMatrices
)

var matrixNames = [numMatrices]string{"601", "709"}

func (m Matrix) String() string {
	if m < 0 || m >= numMatrices {
		return fmt.Sprintf("Matrix(%d)", int(m))
	}
	return matrixNames[m]
}

// Color is how a device makes colors of the numbers in its memory.
type Color struct {
	Bits   [3]int       // of R', G' and B', 1 to 8; 0 for a device that plays Y'CbCr or has a fixed palette
	Levels [3][]float64 // what each code of a channel gives, 0 black to 1 white, rising; nil: in equal steps
	Fixed  []Ink        // the colors of a fixed palette, by index
	AtOnce int          // how many colors a picture can have; 0 for any number
}

// An Ink is a color of a fixed palette: what it is on the wire, and what shows
// it in a picture file.
type Ink struct {
	Signal colorimetry.Signal
	RGB    [3]uint8
}

// Colors returns how many colors the device can make at all; 0 where it plays
// video.
func (c *Color) Colors() int {
	if len(c.Fixed) > 0 {
		return len(c.Fixed)
	}
	if c.Bits == [3]int{} {
		return 0
	}
	return 1 << (c.Bits[0] + c.Bits[1] + c.Bits[2])
}

// Form says in a few words how colors are made: "5:6:5", "128 fixed colors",
// "video".
func (c *Color) Form() string {
	switch {
	case len(c.Fixed) > 0:
		return fmt.Sprintf("%d fixed colors", len(c.Fixed))
	case c.Bits == [3]int{}:
		return "video"
	}
	form := fmt.Sprintf("%d:%d:%d", c.Bits[0], c.Bits[1], c.Bits[2])
	if c.Levels[0] != nil || c.Levels[1] != nil || c.Levels[2] != nil {
		form += " of unequal steps"
	}
	return form
}

// Words is Form with how many colors there are at once, where not all are:
// "5:5:5, 256 at once".
func (c *Color) Words() string { return c.Form() + c.together() }

// title is Words as a title says it: "5:5:5 color, 256 at once".
func (c *Color) title() string {
	if c.Bits == [3]int{} {
		return c.Words()
	}
	return c.Form() + " color" + c.together()
}

// together says how many colors there are at once, where not all are.
func (c *Color) together() string {
	if c.AtOnce == 0 || c.AtOnce >= c.Colors() {
		return ""
	}
	return fmt.Sprintf(", %d at once", c.AtOnce)
}

// Pixels reports whether the device shows pixels of colors that it can count,
// held from one to the next; else it plays video, through a filter.
func (p *Profile) Pixels() bool { return p.Color.Bits != [3]int{} || len(p.Color.Fixed) > 0 }

// Edges are those that pictures for it have: hard where it has pixels of its
// own, which can be seen; shaped on the rasters of ITU-R BT.601 and their
// multiples, whose cables take no faster ones.
func (p *Profile) Edges() pattern.Edges {
	if p.Pixels() && p.Clocks != nil {
		return pattern.Hard
	}
	return pattern.Shaped
}

// Raster returns the raster of that name, or the usual one for "".
func (p *Profile) Raster(name string) (*timing.Raster, error) {
	if name == "" {
		return p.Rasters[0], nil
	}
	var names []string
	for _, r := range p.Rasters {
		if strings.EqualFold(r.Name, name) {
			return r, nil
		}
		names = append(names, r.Name)
	}
	return nil, fmt.Errorf("device %s cannot show raster %s; use %s, or leave the raster out", p.Name, name, strings.Join(names, ", "))
}

// Player returns the levels of plain codes on the output of that kind.
func (p *Profile) Player(k colorimetry.Interface) (*colorimetry.Family, error) {
	var kinds []string
	for _, f := range p.Outputs {
		if f.Interface == k {
			return f, nil
		}
		if kind := f.Interface.String(); !slices.Contains(kinds, kind) {
			kinds = append(kinds, kind)
		}
	}
	return nil, fmt.Errorf("device %s has no %s output; it has %s", p.Name, k, strings.Join(kinds, ", "))
}

// Slug is the name as a part of a file name: letters, digits and hyphens.
func (p *Profile) Slug() string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(p.Name), func(r rune) bool {
		return (r < 'a' || r > 'z') && (r < '0' || r > '9') && r != '-'
	}), "-")
}
