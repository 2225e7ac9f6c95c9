package check

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/measure"
	"backporch/internal/table"
)

// Before is an earlier report, as its JSON holds it.
type Before struct {
	Schema   string `json:"schema"`
	File     string `json:"file"`
	Pattern  string `json:"pattern"`
	Raster   string `json:"raster"`
	Class    string `json:"class"`
	Verdict  string `json:"verdict"`
	Findings []struct {
		Fault      string  `json:"fault"`
		Confidence float64 `json:"confidence_percent"`
	} `json:"findings"`
	Patches []struct {
		Patch   string  `json:"patch"`
		End     string  `json:"end"`
		GotY    float64 `json:"got_y_ire"`
		GotCB   float64 `json:"got_cb_percent"`
		GotCR   float64 `json:"got_cr_percent"`
		SigmaY  float64 `json:"sigma_y_ire"`
		SigmaCB float64 `json:"sigma_cb_percent"`
		SigmaCR float64 `json:"sigma_cr_percent"`
	} `json:"patches"`
}

// schema is the first key of the JSON of a report.
const schema = "backporch/check/1"

// ParseBefore reads what --json printed. Errors do not name the file.
func ParseBefore(data []byte) (*Before, error) {
	b := &Before{}
	if err := json.Unmarshal(data, b); err != nil {
		return nil, fmt.Errorf("is no JSON of a check: %w; `backporch check --json` prints one", err)
	}
	if b.Schema != schema {
		return nil, fmt.Errorf("has the schema %q, and an earlier check has %q; `backporch check --json` prints one", b.Schema, schema)
	}
	return b, nil
}

// spread is how far two mean levels must be apart, in standard deviations of
// their difference, to be called changed: one in some 400 is by chance.
const spread = 3

// coarse is the least deviation of a level that was read from codes of 8 bits,
// as a share of white: a drift below the rounding cannot be told.
const coarse = 0.2887 / 219

// A Change is what has changed since an earlier check of the same pattern.
type Change struct {
	Fields  []table.Field
	Patches *table.Table
}

// Compare says what has changed since an earlier check.
func (r *Report) Compare(b *Before) (*Change, error) {
	if b.Pattern != r.Spec || b.Raster != r.Request.Raster.Name {
		return nil, fmt.Errorf("is a check of %s at %s, and this is one of %s at %s; only like can be compared", b.Pattern, b.Raster, r.Spec, r.Request.Raster.Name)
	}
	t := &table.Table{Name: "changes", Title: "What has changed beyond noise", Columns: []table.Column{
		{Name: "Patch"}, {Name: "Before", Unit: "IRE", Decimals: 2}, {Name: "Now", Unit: "IRE", Decimals: 2}, {Name: "Change", Unit: "IRE", Decimals: 2},
		{Name: "Chroma", Unit: "%", Decimals: 1}, {Name: "Hue", Unit: "deg", Decimals: 1}, {Name: "Least seen", Unit: "IRE", Decimals: 2},
	}}
	t.Notes = []string{fmt.Sprintf("Changed is what differs by more than %d standard deviations of noise and rounding: of luma, the least seen.", spread)}
	same := 0
	for _, p := range r.measured() {
		for _, q := range b.Patches {
			if !flat(p) || q.Patch != p.Name || q.End != "" {
				continue
			}
			old := colorimetry.Signal{Y: q.GotY / 100, CB: q.GotCB / 100, CR: q.GotCR / 100}
			sigma := [3]float64{q.SigmaY / 100, q.SigmaCB / 100, q.SigmaCR / 100}
			if !changed(old, p.Got, sigma, p.Sigma) {
				same++
				continue
			}
			var gain, turn any
			if g, d, ok := measure.Chroma(old, p.Got); ok {
				gain, turn = 100*(g-1), d
			}
			t.Add(p.Name, q.GotY, ire(p.Got), ire(p.Got)-q.GotY, gain, turn, 100*spread*deviation(sigma[0], p.Sigma[0]))
		}
	}
	if t.Len() == 0 && same == 0 {
		return nil, fmt.Errorf("has no patch in common with this capture")
	}
	was, now := b.faults(), r.faults()
	return &Change{Patches: t, Fields: []table.Field{
		{Name: "Compared with", Value: b.File}, {Name: "Verdict before", Value: b.Verdict}, {Name: "Class before", Value: b.Class},
		{Name: "Findings gone", Value: without(was, now)}, {Name: "New findings", Value: without(now, was)},
		{Name: "Patches changed", Value: t.Len()}, {Name: "Patches as before", Value: same},
	}}, nil
}

// deviation is that of the difference of two levels.
func deviation(a, b float64) float64 {
	return math.Sqrt(float64(a*a) + float64(b*b) + 2*coarse*coarse)
}

func changed(old, now colorimetry.Signal, a, b [3]float64) bool {
	for c := colorimetry.Y; c <= colorimetry.CR; c++ {
		if math.Abs(now.Of(c)-old.Of(c)) > spread*deviation(a[c], b[c]) {
			return true
		}
	}
	return false
}

func (b *Before) faults() (list []string) {
	for _, f := range b.Findings {
		if f.Confidence >= 100*maybe {
			list = append(list, f.Fault)
		}
	}
	return list
}

func (r *Report) faults() (list []string) {
	for _, f := range r.Result.Findings {
		if f.Confidence >= maybe {
			list = append(list, string(f.Fault))
		}
	}
	return list
}

// without joins what is in a and not in b.
func without(a, b []string) string {
	var list []string
	for _, s := range a {
		if !slices.Contains(b, s) {
			list = append(list, s)
		}
	}
	if len(list) == 0 {
		return "none"
	}
	return strings.Join(list, ", ")
}
