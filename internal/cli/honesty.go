package cli

import (
	"fmt"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/internal/device"
	"backporch/internal/readings"
	"backporch/internal/render"
	"backporch/internal/table"
)

// honestyTable has a row for each level: what it should be, what it is, and how
// far off, with a mark where that is beyond a limit. With only set, it has no
// others.
func honestyTable(r *device.Report, title string, only bool) *table.Table {
	unit := device.Unit(r.Wire)
	key := map[string]string{"IRE": "ire", "%": "percent"}[unit]
	t := &table.Table{Name: "emitted", Title: title, Columns: []table.Column{
		{Name: "Patch"}, {Name: "Luma", Unit: "mV", Decimals: 1}, {Name: "wanted", Unit: "mV", Decimals: 1},
		{Name: "Off", Unit: unit, Key: "luma_off_" + key, Decimals: 1}, {Name: "Chroma off", Unit: "%", Decimals: 1},
		{Name: "Hue off", Unit: "deg", Decimals: 1}, {Name: "Beyond"}, {Name: "Remark"},
	}}
	for _, row := range r.Rows {
		if only && !row.Beyond() {
			continue
		}
		name := row.Patch.Name
		if row.End != "" {
			name += ", " + row.End
		}
		want, got := row.Levels(r.Wire)
		var chroma, hue any
		remark := row.Note
		if row.Patch.Absent != "" {
			remark = "a substitute" // why is told elsewhere
		}
		if row.Neutral {
			if row.Error.Chroma > 0.05 {
				remark = joined(remark, fmt.Sprintf("%.1f %s of color where there should be none", row.Error.Chroma, unit))
			}
		} else {
			chroma, hue = row.Error.Chroma+0, row.Error.Hue+0
		}
		t.Add(name, levelOf(r, got)+tie, levelOf(r, want)+tie, row.Error.Luma, chroma, hue, beyond(row), remark)
	}
	return t
}

// levelOf is the luma of a level, or of RGB cables that of green, which has
// sync.
func levelOf(r *device.Report, l readings.Level) float64 {
	if r.Wire.Interface == colorimetry.ComponentRGB {
		return float64(l.G)
	}
	return float64(l.Luma)
}

func joined(a, b string) string {
	if a == "" {
		return b
	}
	return a + "; " + b
}

// beyond names what is off by more than its limit.
func beyond(row device.Row) string {
	var words []string
	if row.Error.BeyondLuma() {
		words = append(words, "luma")
	}
	if row.Error.BeyondChroma(row.Neutral) {
		words = append(words, "chroma")
	}
	if row.Error.BeyondHue() {
		words = append(words, "hue")
	}
	return strings.Join(words, " ")
}

// reportDevice says what the device really emits of a picture that was just made
// for it: what is beyond the limits, level by level.
func (o *renderOptions) reportDevice(job *render.Job) {
	r, err := job.Honesty()
	if err != nil {
		fmt.Fprintf(o.Err, "note: what %s emits of it is not known: %v\n", job.Device.Name, err)
		return
	}
	if words := r.Merge.Words(); words != "" {
		fmt.Fprintf(o.Err, "note: %s\n", words)
	}
	switch n := r.Beyond(); {
	case len(r.Rows) == 0:
		fmt.Fprintf(o.Err, "device: the picture has no flat levels to compare with the standard\n")
	case n == 0:
		levels, are := fmt.Sprintf("all %d levels", len(r.Rows)), "are"
		if len(r.Rows) == 1 {
			levels, are = "the one level", "is"
		}
		fmt.Fprintf(o.Err, "device: %s that %s emits on %s %s within %g %s, %g %% of chroma and %g degree of the standard\n",
			levels, job.Device.Name, r.Wire.Name, are, device.LimitLuma, device.Unit(r.Wire), device.LimitChroma, device.LimitHue)
	default:
		t := honestyTable(r, fmt.Sprintf("device: %d of %d levels that %s emits on %s are not those of the standard", n, len(r.Rows), job.Device.Name, r.Wire.Name), true)
		if err := t.Write(o.Err, table.Text, o.width()); err != nil {
			return
		}
		more := ""
		if job.Dither {
			more = " --dither"
		}
		fmt.Fprintf(o.Err, "device: %s `backporch show device %s %s%s` has all of them, and the best bars.\n", limitsText(r), o.Device, job.Spec, more)
	}
	if job.Dither {
		fmt.Fprintf(o.Err, "device: dithered, so these are levels of whole patches; on an oscilloscope and through a magnifier its pixels show\n")
	}
}

// limitsText says what the marks mean.
func limitsText(r *device.Report) string {
	return fmt.Sprintf("Marked is what is more than %g %s of luma, %g %% of chroma or %g degree of hue off.", device.LimitLuma, device.Unit(r.Wire), device.LimitChroma, device.LimitHue)
}

// honestyTables are what a person must know of a device before it is trusted:
// what it makes of a pattern, its best bars, and whether color can be set by
// them.
func honestyTables(job *render.Job, spec string) (tables []*table.Table, notes []string, err error) {
	r, err := job.Honesty()
	if err != nil {
		return nil, nil, err
	}
	tables = append(tables, honestyTable(r, "What its output carries of "+spec+", on "+r.Wire.Name, false))
	notes = append(notes, limitsText(r))
	if words := r.Merge.Words(); words != "" {
		notes = append(notes, words)
	}
	for _, v := range job.Device.Verdicts() {
		notes = append(notes, v.Words)
	}
	b := job.Device.BestBars(r.Wire)
	return append(tables, bestBarsTable(&b)), notes, nil
}

// bestBarsTable is the bars that a device emits best, and what they read.
func bestBarsTable(b *device.Bars) *table.Table {
	t := &table.Table{Name: "best bars", Title: fmt.Sprintf("The best bars it can emit: %.1f %%, and what they read on %s", 100*b.Amplitude, b.Wire.Name),
		Columns: []table.Column{{Name: "Bar"}, {Name: "R'G'B'", Unit: "8 bit", Key: "rgb_8_bit"}}}
	all := quantities(composite.Lookup(b.Wire.Name))
	for _, q := range all {
		t.Columns = append(t.Columns, column(q, ""))
	}
	for _, bar := range b.Bars {
		cells := []any{bar.Name, fmt.Sprintf("%d %d %d", bar.RGB[0], bar.RGB[1], bar.RGB[2])}
		for _, q := range all {
			cells = append(cells, q.figure(b.Wire, bar.Got))
		}
		t.Add(cells...)
	}
	return t
}
