// Package devicedata writes pictures as data for programs on small devices:
// memory images as plain files, and the same bytes with their sizes as C and as
// assembler source. A device runs programs, not pictures: something of the
// user's own must copy these bytes to where the device shows them.
//
// How the bytes are laid out is the business of pixfmt; every source file says
// it in its comment.
package devicedata

import (
	"fmt"
	"strings"

	"backporch/internal/pixfmt"
)

// About is what a set of files is called and says of itself.
type About struct {
	Base    string   // of the file names, without folder and extension
	Short   bool     // file names of 8 and 3 capitals; Base must be of 8 at most
	Pattern string   // its spelling
	Raster  string   // by name
	Device  string   // by name; "" leaves it out
	Lines   []string // further lines for the comments
}

// A File is one of a set.
type File struct {
	Name string
	Data []byte
}

// A Set is a picture as data: the memory images first, then the C header and
// the assembler source.
type Set struct {
	Files []File
	Notes []string // what was added to the picture, and how much room it takes
}

// Names returns the names of the files in order.
func (s *Set) Names() []string {
	names := make([]string, len(s.Files))
	for i, f := range s.Files {
		names[i] = f.Name
	}
	return names
}

// A part is one memory image.
type part struct {
	name      string // "tiles"; of files and of what stands for it in source
	alone     bool   // the file has no other name than the set
	extension string // where names are short
	layout    string // what stands where, a sentence
	data      []byte
	file      string // its name
}

// A constant is a number that source needs.
type constant struct {
	name  string // "WIDTH"
	value int
}

// set makes the files of parts.
func (a *About) set(parts []part, constants []constant, notes []string) (*Set, error) {
	if err := a.check(); err != nil {
		return nil, err
	}
	s := &Set{Notes: notes}
	for i := range parts {
		p := &parts[i]
		p.file = a.fileName(p)
		s.Files = append(s.Files, File{p.file, p.data})
		constants = append(constants, constant{strings.ToUpper(p.name) + "_SIZE", len(p.data)})
	}
	text := a.comment(parts, notes)
	s.Files = append(s.Files,
		File{a.cased(a.Base + ".h"), header(a.identifier(), text, parts, constants)},
		File{a.cased(a.Base + ".inc"), assembler(a.identifier(), text, parts, constants)})
	return s, nil
}

// check refuses a name that files cannot have.
func (a *About) check() error {
	switch {
	case a.Base == "" || strings.Trim(a.Base, ". ") != a.Base || strings.ContainsFunc(a.Base, func(r rune) bool {
		return r < ' ' || strings.ContainsRune(`/\"*?<>|:`, r)
	}):
		return fmt.Errorf("%q cannot be the name of files; use letters, digits and hyphens", a.Base)
	case a.Short && (len(a.Base) > 8 || strings.Contains(a.Base, ".")):
		return fmt.Errorf("%q is longer than the 8 characters of a file name on this device; give a shorter name", a.Base)
	}
	return nil
}

func (a *About) fileName(p *part) string {
	switch {
	case a.Short:
		return a.cased(a.Base + "." + p.extension)
	case p.alone:
		return a.Base + ".bin"
	}
	return a.Base + "-" + p.name + ".bin"
}

// cased puts short names in capitals, the only letters that they have.
func (a *About) cased(name string) string {
	if a.Short {
		return strings.ToUpper(name)
	}
	return name
}

// identifier returns the name of the set as source can have it: small letters,
// digits and underscores, a letter first.
func (a *About) identifier() string {
	s := strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return '_'
	}, strings.ToLower(a.Base))
	if s[0] < 'a' || s[0] > 'z' {
		s = "picture_" + s
	}
	return s
}

// comment returns the lines that stand at the top of source.
func (a *About) comment(parts []part, notes []string) []string {
	about := "Raster " + a.Raster
	if a.Device != "" {
		about += ", device " + a.Device
	}
	lines := []string{
		"Test picture: " + a.Pattern, about + ".",
		"Data for a program of your own: a cartridge runs programs, not pictures.",
		"Bright still pictures can burn the phosphor of a picture tube: do not leave",
		"them on longer than the work needs.",
	}
	for _, l := range append(a.Lines[:len(a.Lines):len(a.Lines)], notes...) {
		lines = append(lines, wrap(l, "")...)
	}
	for _, p := range parts {
		lines = append(lines, "", fmt.Sprintf("%s (%d bytes, also in %s):", p.name, len(p.data), p.file))
		lines = append(lines, wrap(p.layout, "  ")...)
	}
	for i, l := range lines {
		lines[i] = plain(l)
	}
	return lines
}

// wrap breaks a sentence into lines of some 76 characters, indented.
func wrap(s, indent string) (lines []string) {
	line := ""
	for word := range strings.FieldsSeq(s) {
		switch {
		case line == "":
			line = indent + word
		case len(line)+1+len(word) > 76:
			lines = append(lines, line)
			line = indent + word
		default:
			line += " " + word
		}
	}
	return append(lines, line)
}

// plain makes text fit for a comment of any compiler or assembler: printable
// ASCII, nothing that ends a comment, and no backslash, which some let join
// lines.
func plain(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\\':
			return '/'
		case r < ' ' || r > '~':
			return '?'
		}
		return r
	}, s)
	return strings.ReplaceAll(strings.ReplaceAll(s, "*/", "* /"), "/*", "/ *")
}

// size returns the constants of a picture's size.
func size(x *pixfmt.Indexed) []constant {
	return []constant{{"WIDTH", x.Width()}, {"HEIGHT", x.Height()}}
}
