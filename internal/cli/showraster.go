package cli

import (
	"fmt"

	"backporch/internal/table"
	"backporch/timing"
)

// rasterRecord is everything about a raster but its rows; see [rowTable].
func rasterRecord(r *timing.Raster) *table.Record {
	left, right := r.Window()
	one, two := r.FieldRows()
	rational := func(v timing.Ratio) table.Rational { return table.Rational(v.String()) }
	rec := &table.Record{Name: "raster", Fields: []table.Field{
		{Name: "Raster", Value: r.Name},
		{Name: "Use", Value: r.Note},
		{Name: "System", Value: r.Scan.System.Name},
		{Name: "Scan", Value: r.Scan.Name},
		{Name: "Lines", Value: r.Scan.Lines},
		{Name: "Samples", Value: r.Width},
		{Name: "Rows", Value: r.Height()},
		{Name: "Rows of field 1", Value: one},
		{Name: "Rows of field 2", Value: two},
		{Name: "Order", Value: r.Order().String()},
		{Name: "Top row is line", Value: r.Lines[0].Number},
		{Name: "Bottom row is line", Value: r.Lines[r.Height()-1].Number},
		{Name: "Frame rate, exact", Unit: "Hz", Value: rational(r.FrameRate())},
		{Name: "Frame rate", Unit: "Hz", Decimals: 6, Value: r.FrameRate().Float64()},
		{Name: "Field rate", Unit: "Hz", Decimals: 6, Value: r.Scan.FieldRate().Float64()},
		{Name: "Line rate", Unit: "Hz", Decimals: 6, Value: r.Scan.LineRate().Float64()},
		{Name: "Line period", Unit: "us", Decimals: 6, Value: r.Scan.LinePeriod().Float64()},
		{Name: "Subcarrier", Unit: "Hz", Decimals: 4, Value: r.Scan.System.Subcarrier.Float64()},
		{Name: "Subcarrier cycles in a line", Value: rational(r.Scan.Cycles)},
		{Name: "Sample clock", Unit: "Hz", Value: rational(r.Clock)},
		{Name: "Samples in a line", Value: rational(r.SamplesPerLine())},
		{Name: "Pixel shape", Value: rational(r.PixelShape())},
		{Name: "Picture begins at sample", Decimals: 4, Value: left.Float64()},
		{Name: "Picture ends at sample", Decimals: 4, Value: right.Float64()},
		{Name: "Picture begins", Unit: "us after 0H", Key: "picture_begins_us_after_0h", Decimals: 4, Value: r.Scan.System.Left.Float64()},
		{Name: "Picture ends", Unit: "us after 0H", Key: "picture_ends_us_after_0h", Decimals: 4, Value: r.Scan.System.Right.Float64()},
		{Name: "Nyquist limit", Unit: "MHz", Decimals: 4, Value: r.Nyquist().Float64()},
	}}
	rec.Tables = []*table.Table{sampleTable(r), tvLineTable(r)}
	rec.Notes = []string{rowsInWords(r) + " --json lists every row."}
	return rec
}

// sampleTable gives the times of some places in a row.
func sampleTable(r *timing.Raster) *table.Table {
	t := &table.Table{Name: "places", Title: "Places in a row", Columns: []table.Column{
		{Name: "Place"}, {Name: "Sample", Decimals: 4}, {Name: "After 0H", Unit: "us", Key: "after_0h_us", Decimals: 4},
	}}
	left, right := r.Window()
	for _, p := range []struct {
		name string
		at   timing.Ratio
	}{
		{"first sample", timing.Int(0)},
		{"picture begins", left},
		{"middle of the picture", left.Add(right).Div(timing.Int(2))},
		{"picture ends", right},
		{"last sample", timing.Int(int64(r.Width - 1))},
	} {
		t.Add(p.name, p.at.Float64(), r.TimeOf(p.at).Float64())
	}
	return t
}

func tvLineTable(r *timing.Raster) *table.Table {
	t := &table.Table{Name: "tv_lines", Title: "TV lines and frequency", Columns: []table.Column{
		{Name: "TV lines"}, {Name: "4:3 screen", Unit: "MHz", Key: "aspect_4_3_mhz", Decimals: 3}, {Name: "Held", Key: "held_4_3"},
		{Name: "16:9 screen", Unit: "MHz", Key: "aspect_16_9_mhz", Decimals: 3}, {Name: "Held", Key: "held_16_9"},
	}}
	held := func(mhz float64) string {
		switch {
		case mhz > r.Nyquist().Float64():
			return "no: beyond Nyquist"
		case mhz > 5.75: // end of the BT.601 pass band: memory
			return "barely: above 5.75 MHz"
		}
		return "yes"
	}
	for n := 100; n <= 600; n += 50 {
		normal, wide := r.Scan.System.Frequency(float64(n), aspect4x3), r.Scan.System.Frequency(float64(n), timing.R(16, 9))
		t.Add(n, normal, held(normal), wide, held(wide))
	}
	return t
}

// rowsInWords says the same as rowTable.
func rowsInWords(r *timing.Raster) string {
	first, last := r.Lines[0], r.Lines[r.Height()-1]
	if !r.Scan.Interlaced() {
		return fmt.Sprintf("Rows 0 to %d are lines %d to %d.", r.Height()-1, first.Number, last.Number)
	}
	return fmt.Sprintf("Even rows are lines %d to %d of field %d, odd rows are lines %d to %d of field %d.",
		first.Number, r.Lines[r.Height()-2].Number, first.Field, r.Lines[1].Number, last.Number, last.Field)
}

// rowTable says which line each row is.
func rowTable(r *timing.Raster) *table.Table {
	t := &table.Table{Name: "row_lines", Title: "Rows and analog lines", Columns: []table.Column{
		{Name: "Row"}, {Name: "Line"}, {Name: "Field"},
	}}
	for j, l := range r.Lines {
		t.Add(j, l.Number, l.Field)
	}
	return t
}
