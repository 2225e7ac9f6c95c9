package cli

import (
	"fmt"
	"math"
	"strings"

	"backporch/internal/modeline"
	"backporch/internal/table"
	"backporch/timing"
)

const modeCaution = `Caution: a wrong mode can damage a set. One with a fixed line rate is built for 15.6 to 15.8 kHz; at the 31 kHz of a boot screen its line output stage can overheat or fail. Connect it when the mode is up and its line rate has been measured, and switch it off at once if it whistles or shows no steady picture.`

// linkLeast is the least clock of a digital link, in units of 10 kHz: 25 MHz
// (DVI and HDMI, memory).
const linkLeast = 2500

// record is everything about a mode. The lines that are to be copied stand above
// it in text, and in it for programs.
func (o *modelineOptions) record(j modelineJob) *table.Record {
	m := j.Mode
	r := m.Raster
	rate, nominal := m.LineRate().Float64(), r.Scan.LineRate().Float64()
	field, wanted := m.FieldRate().Float64(), r.Scan.FieldRate().Float64()
	rec := &table.Record{Name: "modeline"}
	add := func(f ...table.Field) { rec.Fields = append(rec.Fields, f...) }
	if o.JSON {
		add(table.Field{Name: "Modeline", Value: m.Line()}, table.Field{Name: "xrandr", Value: m.XRandR(xOutput(j.Connector))})
	}
	add(
		table.Field{Name: "Mode", Value: m.Name()},
		table.Field{Name: "Raster", Value: r.Name},
		table.Field{Name: "Timing", Value: m.Placing.String()},
		table.Field{Name: "CEA-861 format", Key: "cea_861_format", Value: formatsOf(m)},
		table.Field{Name: "Width", Value: m.H.Active},
		table.Field{Name: "Rows", Value: r.Height()},
		table.Field{Name: "Pixel clock", Unit: "MHz", Decimals: 2, Value: float64(m.Clock) / 100},
		table.Field{Name: "Line rate", Unit: "Hz", Decimals: 4, Value: rate},
		table.Field{Name: "Line rate of the raster", Unit: "Hz", Decimals: 4, Value: nominal},
		table.Field{Name: "Difference", Unit: "Hz", Decimals: 4, Value: rate - nominal},
		table.Field{Name: "Difference, relative", Unit: "ppm", Key: "difference_ppm", Decimals: 1, Value: m.Deviation()},
		table.Field{Name: "Field rate", Unit: "Hz", Decimals: 5, Value: field},
		table.Field{Name: "Field rate of the raster", Unit: "Hz", Decimals: 5, Value: wanted},
		table.Field{Name: "Field rate, difference", Unit: "Hz", Decimals: 5, Value: field - wanted},
		table.Field{Name: "Picture later than BT.601", Unit: "us", Decimals: 3, Value: m.Late().Float64()},
		table.Field{Name: "Picture higher than the raster", Unit: "lines of the field", Decimals: 1, Value: m.Up().Float64()},
		table.Field{Name: "Row 0 is line", Value: m.First},
	)
	if o.EDID != "" {
		var setup any = "none"
		if j.Display.Setup {
			setup = "7.5 IRE"
		}
		if j.Display.Input == modeline.Digital {
			setup = nil
		}
		add(
			table.Field{Name: "EDID", Value: o.EDID},
			table.Field{Name: "EDID, modes", Value: modeNames(j.Display)},
			table.Field{Name: "EDID, name", Value: j.Display.Name},
			table.Field{Name: "EDID, input", Value: j.Display.Input.String()},
			table.Field{Name: "EDID, setup", Value: setup},
			table.Field{Name: "EDID, picture", Unit: "mm", Value: fmt.Sprintf("%d x %d", j.Display.Width, j.Display.Height)},
		)
		if o.JSON {
			add(table.Field{Name: "Kernel options", Value: kernelOptions(j, o.EDID)})
		}
	}
	rec.Tables = []*table.Table{timesTable(m), tvTable(r.Scan.System)}
	rec.Notes = o.notes(j)
	return rec
}

// formatsOf names the formats of CEA-861, or nil.
func formatsOf(m *modeline.Mode) any {
	normal, wide := m.Formats()
	if normal == 0 {
		return nil
	}
	return fmt.Sprintf("%d (4:3), %d (16:9)", normal, wide)
}

// timesTable is the mode in pixels, microseconds and lines.
func timesTable(m *modeline.Mode) *table.Table {
	t := &table.Table{Name: "times", Title: "Times", Columns: []table.Column{{Name: "Part"}}}
	for _, name := range []string{"Active", "Front porch", "Sync", "Back porch", "Total"} {
		t.Columns = append(t.Columns, table.Column{Name: name, Decimals: 3, Align: table.Right})
	}
	us := func(n int) float64 { return m.Microseconds(n).Float64() }
	h, v := m.H, m.V
	t.Add("line, pixels", h.Active, h.Front, h.Sync, h.Back, h.Total())
	t.Add("line, us", us(h.Active), us(h.Front), us(h.Sync), us(h.Back), us(h.Total()))
	if !m.Interlaced() {
		t.Add("field, lines", v.Active, v.Front, v.Sync, v.Back, v.Total())
		return t
	}
	t.Add("field 1, lines", v.Active, fmt.Sprintf("%d 1/2", v.Front), v.Sync, v.Back, fmt.Sprintf("%d 1/2", v.Total()))
	t.Add("field 2, lines", v.Active, v.Front, v.Sync, fmt.Sprintf("%d 1/2", v.Back), fmt.Sprintf("%d 1/2", v.Total()))
	return t
}

// tvTable says where the kernel's composite outputs put black.
func tvTable(s *timing.System) *table.Table {
	t := &table.Table{Name: "composite", Title: "Composite output of a kernel: its option, and where it puts black", Columns: []table.Column{
		{Name: "Kernel option"}, {Name: "Black", Unit: "IRE", Decimals: 1}, {Name: "Black", Unit: "mV", Decimals: 1}, {Name: "Say to other commands"},
	}}
	for _, m := range modeline.TVModes(s) {
		setup := "0"
		if m.Family.Setup() > 0 {
			setup = "7.5"
		}
		t.Add(m.Option, float64(m.Family.Setup().IRE()), float64(m.Family.Setup()), "--player-setup "+setup)
	}
	return t
}

// notes are what the figures do not say.
func (o *modelineOptions) notes(j modelineJob) (notes []string) {
	m := j.Mode
	say := func(format string, args ...any) { notes = append(notes, fmt.Sprintf(format, args...)) }
	if late := m.Late().Float64(); math.Abs(late) >= .1 {
		say("Sync is where CEA-861 has it, 3 samples of 13.5 MHz later than in ITU-R BT.601, so the picture stands %.3f us to the left of a studio signal's; --timing bt601 puts it right.", -late)
	} else if m.Placing == modeline.BT601 && m.Raster.Scan.System == timing.System525 {
		say("Sync is where ITU-R BT.601 has it, 3 samples of 13.5 MHz earlier than in CEA-861: what expects a format of CEA-861 may not take it for one, and edid-decode warns of the likeness at 1440 and 2880 pixels.")
	}
	if least, most, source := m.SyncLimits(); m.Microseconds(m.H.Sync).Float64() < least || m.Microseconds(m.H.Sync).Float64() > most {
		say("Line sync is %.3f us wide, outside the %.2f to %.2f us of %s; sets take it (common practice).", m.Microseconds(m.H.Sync).Float64(), least, most, source)
	}
	switch up := m.Up(); {
	case m.Raster.Lines[0].Field == 2:
		say("The top row of %s belongs to field 2, but display controllers send even rows in field 1 (common practice): the fields change places in time, and the picture stands half a line of the field %s than in a file.",
			m.Raster.Name, map[bool]string{true: "higher", false: "lower"}[up.Num > 0])
	case up.Num != 0:
		say("Rows are where CEA-861 has them: the picture stands %s of the field higher than in a file of %s; --timing bt601 has it on its own lines.", count(int(up.Num), "line"), m.Raster.Name)
	}
	if j.Display.Input == modeline.Digital {
		if m.Clock < linkLeast {
			say("Caution: %.2f MHz is below the 25 MHz at which a digital link begins to work; use --width 1440 or more.", float64(m.Clock)/100)
		}
		say("An EDID without extension makes the source send full-range R'G'B' without sound, as to DVI: codes below black and above white do not exist there.")
	}
	if j.Display.Setup {
		say("The EDID asks for black 7.5 IRE above blanking; few sources heed it (common practice): look at black against blanking on the cable.")
	}
	say("A set pulls in some hundred hertz to either side of its line rate (common practice); this is %.1f Hz off. What the hardware makes of the clock is another matter: measure the line rate.", math.Abs(m.LineRate().Sub(m.Raster.Scan.LineRate()).Float64()))
	say("A display controller sends no equalizing pulses and no half lines of picture, and vertical sync of 3 whole lines; where the fields of an interlaced mode pair, the source may be at fault.")
	if o.EDID == "" {
		say("--edid FILE writes an EDID for sets that have no data channel.")
	} else {
		say("An initial RAM disk that loads the display driver needs the EDID too. Without the kernel's help the modeline does the same for an X server.")
	}
	if m.Interlaced() {
		say("The composite options bring the kernel's own timing of 720 samples; the modeline is for RGB and digital outputs.")
	} else {
		say("The composite options bring the kernel's own interlaced timing; %s there must be set from user space, and the driver may refuse it.", m.Raster.Name)
	}
	say("Sync of a display output is a logic level on two wires. A set with one sync input needs them combined and brought to the level that it asks for by a circuit made for it.")
	return append(notes, modeCaution, strings.ReplaceAll(caution, "\n", " "))
}
