package deliver

import (
	"fmt"
	"strings"

	"backporch/internal/table"
)

// A DiscProof is what a disc was found to be.
type DiscProof struct {
	Title, Raster, Image string
	Program, Encoder     string
	Author               string // version of dvdauthor
	Still                bool
	Rows                 []Check
	Pictures             []DiscPicture
	Files                []madeDiscFile
	Notes                []string

	streams int64 // bytes of all program streams
}

// A DiscPicture is a pattern as a program of the disc.
type DiscPicture struct {
	Number  int
	Spec    string
	Frames  int
	Seconds float64
	Bytes   int64   // of video
	Off     float64 // greatest mean difference of a level patch, codes
	Proof   *Proof  // of the program stream, whose bytes the disc must hold
	packs   *discPacks
}

type madeDiscFile struct {
	Name   string
	Bytes  int64
	SHA256 string
}

// check adds a row.
func (p *DiscProof) check(name, want, got string) {
	p.Rows = append(p.Rows, Check{Name: name, Want: want, Got: got, OK: want == got})
}

// OK reports whether everything is as it must be.
func (p *DiscProof) OK() bool { return len(p.Failed()) == 0 }

// Failed names what is not as it must be.
func (p *DiscProof) Failed() (names []string) {
	for _, r := range p.Rows {
		if !r.OK {
			names = append(names, r.Name)
		}
	}
	for _, q := range p.Pictures {
		if q.Proof != nil && !q.Proof.OK {
			names = append(names, fmt.Sprintf("program %d, %s: %s", q.Number, q.Spec, q.Proof.Error()))
		}
	}
	return names
}

// NotProvedError reports a disc that is not as it must be; nothing has its name.
type NotProvedError struct{ Proof *DiscProof }

func (e *NotProvedError) Error() string {
	return "the disc is not as it must be (" + few(e.Proof.Failed(), "; ") + "), so nothing was written"
}

// each says the same of all, or which is different: numbers from 1.
func each(n int, want string, got func(i int) string) string {
	var bad []string
	for i := range n {
		if g := got(i); g != want {
			bad = append(bad, fmt.Sprintf("%d: %s", i+1, g))
		}
	}
	if len(bad) == 0 {
		return want
	}
	return strings.Join(bad[:min(len(bad), 5)], ", ")
}

// Document is the proof as a table and as JSON, backporch/disc/1.
func (p *DiscProof) Document() *table.Record {
	r := &table.Record{
		Name: "disc", Notes: p.Notes,
		Fields: []table.Field{
			{Name: "Title", Value: p.Title}, {Name: "Raster", Value: p.Raster}, {Name: "Image", Value: p.Image},
			{Name: "Program", Value: p.Program}, {Name: "Encoder", Value: p.Encoder}, {Name: "Author", Value: p.Author},
			{Name: "Still", Value: p.Still}, {Name: "Proved", Value: p.OK()},
		},
	}
	pictures := &table.Table{Name: "programs", Title: "Patterns", Columns: []table.Column{
		{Name: "No."}, {Name: "Pattern"}, {Name: "Length", Unit: "s", Decimals: 2}, {Name: "Video", Unit: "kB", Decimals: 0},
		{Name: "Patches"}, {Name: "Off by", Unit: "codes", Decimals: 2}, {Name: "Right"},
	}}
	patches := &table.Table{Name: "patches", Title: "Patches, in codes", Columns: []table.Column{
		{Name: "No."}, {Name: "Patch"}, {Name: "Kind"}, {Name: "Y' want", Key: "y_want", Decimals: 1}, {Name: "CB want", Key: "cb_want", Decimals: 1}, {Name: "CR want", Key: "cr_want", Decimals: 1},
		{Name: "Off by", Key: "off", Decimals: 2}, {Name: "Worst sample", Key: "worst", Decimals: 0},
	}}
	for _, q := range p.Pictures {
		count := 0
		if q.Proof != nil {
			count = len(q.Proof.Patches)
			for _, a := range q.Proof.Patches {
				patches.Add(q.Number, a.Name, string(a.Kind), a.Want[0], a.Want[1], a.Want[2], a.Off, a.Worst)
			}
		}
		pictures.Add(q.Number, q.Spec, q.Seconds, float64(q.Bytes)/1e3, count, q.Off, q.Proof != nil && q.Proof.OK)
	}
	checks := &table.Table{Name: "checks", Title: "The disc", Columns: []table.Column{{Name: "Check"}, {Name: "Want"}, {Name: "Got"}, {Name: "Right"}}}
	for _, c := range p.Rows {
		checks.Add(c.Name, c.Want, c.Got, c.OK)
	}
	files := &table.Table{Name: "files", Title: "Files", Columns: []table.Column{{Name: "Name"}, {Name: "Bytes"}, {Name: "SHA-256", Key: "sha256"}}}
	for _, f := range p.Files {
		files.Add(f.Name, f.Bytes, f.SHA256)
	}
	r.Tables = []*table.Table{pictures, checks, patches, files}
	return r
}

// Summary is the part of Document that a person reads at once.
func (p *DiscProof) Summary() *table.Record {
	r := p.Document()
	r.Tables = r.Tables[:2]
	if len(p.Rows) == 0 { // there is no disc of patterns that failed
		r.Tables = r.Tables[:1]
	}
	return r
}
