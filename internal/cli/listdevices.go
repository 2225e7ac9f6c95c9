package cli

import (
	"fmt"
	"strings"

	"backporch/internal/device"
	"backporch/internal/render"
	"backporch/internal/table"
)

// deviceTable has a row for each built-in device, with every figure.
func deviceTable() *table.Table {
	t := &table.Table{Name: "devices", Columns: []table.Column{
		{Name: "Device"}, {Name: "System"}, {Name: "Samples"}, {Name: "Rows"}, {Name: "Rasters"},
		{Name: "Pixel clock", Unit: "Hz"}, {Name: "Pixel shape"}, {Name: "Color"}, {Name: "Colors at once"},
		{Name: "Outputs"}, {Name: "Reads"}, {Name: "What it is"}, {Name: "Source"},
	}}
	for _, p := range device.Builtin() {
		r := p.Rasters[0]
		var atOnce any
		if p.Color.AtOnce > 0 {
			atOnce = p.Color.AtOnce
		}
		t.Add(p.Name, p.System.Name, r.Width, r.Height(), namesOf(p.Rasters),
			table.Rational(r.Clock.String()), table.Rational(r.PixelShape().String()), p.Color.Form(), atOnce,
			outputsOf(p), p.Formats, p.Title, p.Source)
	}
	return t
}

// devicePage is the same for people.
func devicePage() *table.Table {
	t := &table.Table{Name: "devices", Columns: []table.Column{
		{Name: "Device"}, {Name: "System"}, {Name: "Size"}, {Name: "Color"}, {Name: "What it is"},
	}, Notes: []string{
		"`backporch show device NAME` tells more, and how far its colors are off. A device can be changed in place, as in --device \"pixel-320 bits=333 colors=64\"; a profile of your own is a file: `backporch show device --template` prints one to begin with, and `backporch list device-keys` says what each key means.",
	}}
	for _, p := range device.Builtin() {
		r := p.Rasters[0]
		title := p.Title
		if p.Clocks != nil && p.Pixels() {
			title = "pixels at " + p.Clocks.PixelText() // size and color stand beside it
		}
		t.Add(p.Name, p.System.Name, fmt.Sprintf("%dx%d", r.Width, r.Height()), p.Color.Words(), title)
	}
	return t
}

func outputsOf(p *device.Profile) (names []string) {
	for _, f := range p.Outputs {
		names = append(names, f.Name)
	}
	return names
}

// keyTable documents what a profile file can say.
func keyTable() *table.Table {
	t := &table.Table{Name: "device keys", Columns: []table.Column{
		{Name: "Key"}, {Name: "Value"}, {Name: "Default"}, {Name: "Meaning"}, {Name: "Example"},
	}}
	for _, k := range device.Keys() {
		var usual any
		if k.Default != "" {
			usual = k.Default
		}
		if k.Required {
			usual = "required"
		}
		t.Add(k.Name, k.Type, usual, k.Meaning, k.Example)
	}
	return t
}

// keyPage leaves room for words: the template has the examples.
func keyPage() *table.Table {
	t := &table.Table{Name: "device keys", Columns: []table.Column{{Name: "Key"}, {Name: "Meaning"}},
		Notes: []string{"`backporch show device --template > mine.toml` writes a profile with all of them; --json has their defaults and examples."}}
	for _, k := range device.Keys() {
		meaning := k.Meaning
		switch {
		case k.Required:
			meaning += " (required)"
		case k.Default != "":
			meaning += " (" + k.Default + ")"
		}
		t.Add(k.Name, meaning+"; "+k.Type)
	}
	return t
}

// deviceRecord is what is known of a device; where its colors are concerned
// see [honestyTables].
func deviceRecord(p *device.Profile) *table.Record {
	r := p.Rasters[0]
	rec := &table.Record{Name: "device", Fields: []table.Field{
		{Name: "Device", Value: p.Name},
		{Name: "What it is", Value: p.Title},
		{Name: "System", Value: p.System.Name},
		{Name: "Rasters", Value: strings.Join(namesOf(p.Rasters), ", ")},
		{Name: "Size", Value: fmt.Sprintf("%d x %d", r.Width, r.Height())},
		{Name: "Lines", Value: r.Scan.Lines},
		{Name: "Field rate", Unit: "Hz", Decimals: 4, Value: r.Scan.FieldRate().Float64()},
		{Name: "Pixel clock", Unit: "Hz", Value: table.Rational(r.Clock.String())},
		{Name: "Pixels in a line", Value: table.Rational(r.SamplesPerLine().String())},
		{Name: "Subcarrier cycles in a line", Value: table.Rational(r.Scan.Cycles.String())},
		{Name: "Pixel shape", Value: table.Rational(r.PixelShape().String())},
		{Name: "Color", Value: p.Color.Words()},
		{Name: "Outputs", Value: strings.Join(outputsOf(p), ", ")},
		{Name: "Matrix of pictures", Value: p.Matrix.String()},
		{Name: "Below black", Value: passes(p.SubBlack)},
		{Name: "Scales pictures", Value: yesNo(p.Scales)},
		{Name: "Reads", Value: strings.Join(p.Formats, ", ")},
		{Name: "Data for programs", Value: dataForms(p)},
		{Name: "File names", Value: fileNames(p)},
		{Name: "Source", Value: p.Source},
	}}
	rec.Notes = append(rec.Notes, p.Notes...)
	return rec
}

func passes(b bool) string {
	if b {
		return "codes below black and above white pass"
	}
	return "no code below black or above white passes"
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// dataForms names the data that a profile describes.
func dataForms(p *device.Profile) string {
	var names []string
	if p.Framebuffer != nil {
		names = append(names, render.Framebuffer)
	}
	if p.Tiles != nil {
		names = append(names, render.Tiles)
	}
	if len(names) == 0 {
		return "none"
	}
	return strings.Join(names, ", ")
}

func fileNames(p *device.Profile) string {
	switch {
	case p.ShortNames:
		return "8 and 3 characters"
	case p.NameLength > 0:
		return fmt.Sprintf("up to %d characters", p.NameLength)
	}
	return "no limit is known"
}

// changeTable says what can be changed of a built-in device in place.
func changeTable(p *device.Profile) *table.Table {
	t := &table.Table{Name: "changes", Title: "What can be changed in place, as in --device \"NAME KEY=VALUE\"", Columns: []table.Column{{Name: "Key"}, {Name: "Value"}}}
	for _, c := range p.Changes() {
		t.Add(c.Name, c.Values)
	}
	return t
}
