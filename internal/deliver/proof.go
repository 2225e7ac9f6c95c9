package deliver

import (
	"fmt"
	"strings"

	"backporch/internal/table"
	"backporch/pattern"
)

// What a file may say of its pictures, as the rows of a proof are called.
const (
	tagRange     = "range"
	tagMatrix    = "matrix"
	tagPrimaries = "primaries"
	tagTransfer  = "transfer"
	tagShape     = "sample shape"
	tagOrder     = "order of fields"
)

// A Proof is what an encoded file was found to be.
type Proof struct {
	File, Target, Pattern, Raster string
	Encoder                       string // and its version

	Rows    []Check
	Patches []PatchProof
	Notes   []string
	Detail  int  // codes by which the sample that is furthest off differs
	OK      bool // everything is as it must be
}

// A Check is one thing that the file must be. Unsaid is why it need not say so.
type Check struct {
	Name, Want, Got string
	OK              bool
	Unsaid          string
}

// A PatchProof is a named patch, in codes of the file.
type PatchProof struct {
	Name  string
	Kind  pattern.Kind
	Want  [3]float64 // mean of what it must be
	Got   [3]float64 // mean of the frame that is furthest off
	Off   float64    // greatest difference of the mean of a component, in any frame
	Worst float64    // greatest difference of a sample, in any frame
	// Beyond is the greatest share of a component's samples that are off by more
	// than the tolerance, in any frame, in percent.
	Beyond float64
	Level  bool // Off and Beyond must be within limits
	OK     bool
}

// check adds a row.
func (p *Proof) check(name, want, got string, ok bool) {
	p.Rows = append(p.Rows, Check{Name: name, Want: want, Got: got, OK: ok})
}

// equal adds a row that must be the same.
func (p *Proof) equal(name, want, got string) { p.check(name, want, got, want == got) }

// judge sets OK.
func (p *Proof) judge() {
	p.OK = len(p.Failed()) == 0
}

// Failed names what is not as it must be.
func (p *Proof) Failed() (names []string) {
	for _, r := range p.Rows {
		if !r.OK {
			names = append(names, r.Name)
		}
	}
	for _, q := range p.Patches {
		if !q.OK {
			names = append(names, "patch "+q.Name)
		}
	}
	return names
}

// Error says which of them there are.
func (p *Proof) Error() string { return few(p.Failed(), ", ") }

// few joins the first five of many.
func few(names []string, separator string) string {
	if n := len(names) - 5; n > 0 {
		names = append(names[:5:5], fmt.Sprintf("%d more", n))
	}
	return strings.Join(names, separator)
}

// Document is the proof as a table and as JSON, backporch/proof/1.
func (p *Proof) Document() *table.Record {
	r := &table.Record{
		Name: "proof",
		Fields: []table.Field{
			{Name: "File", Value: p.File}, {Name: "Target", Value: p.Target}, {Name: "Pattern", Value: p.Pattern},
			{Name: "Raster", Value: p.Raster}, {Name: "Encoder", Value: p.Encoder}, {Name: "Proved", Value: p.OK},
		},
		Notes: p.Notes,
	}
	checks := &table.Table{Name: "checks", Title: "The file", Columns: []table.Column{
		{Name: "Check"}, {Name: "Want"}, {Name: "Got"}, {Name: "Right"},
	}}
	for _, c := range p.Rows {
		right := "yes"
		switch {
		case !c.OK:
			right = "NO"
		case c.Unsaid != "":
			right = "not stored"
		}
		if c.Unsaid != "" {
			checks.Notes = append(checks.Notes, "Not stored: "+c.Name+". "+c.Unsaid+".")
		}
		checks.Add(c.Name, c.Want, c.Got, right)
	}
	r.Tables = append(r.Tables, checks)
	if len(p.Patches) > 0 {
		r.Tables = append(r.Tables, p.patchTable())
	}
	return r
}

func (p *Proof) patchTable() *table.Table {
	t := &table.Table{Name: "patches", Title: "Patches, in codes", Columns: []table.Column{
		{Name: "Patch"}, {Name: "Kind"},
		{Name: "Y' want", Key: "y_want", Decimals: 1}, {Name: "Got", Key: "y_got", Decimals: 1},
		{Name: "CB want", Key: "cb_want", Decimals: 1}, {Name: "Got", Key: "cb_got", Decimals: 1},
		{Name: "CR want", Key: "cr_want", Decimals: 1}, {Name: "Got", Key: "cr_got", Decimals: 1},
		{Name: "Off by", Key: "off", Decimals: 2}, {Name: "Worst sample", Key: "worst", Decimals: 0},
		{Name: "Beyond", Key: "beyond_percent", Unit: "%", Decimals: 1}, {Name: "Right"},
	}}
	for _, q := range p.Patches {
		right := "yes"
		switch {
		case !q.OK:
			right = "NO"
		case !q.Level:
			right = "-"
		}
		t.Add(q.Name, string(q.Kind), q.Want[0], q.Got[0], q.Want[1], q.Got[1], q.Want[2], q.Got[2], q.Off, q.Worst, q.Beyond, right)
	}
	return t
}
