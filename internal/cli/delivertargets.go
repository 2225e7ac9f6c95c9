package cli

import (
	"strings"

	"backporch/internal/deliver"
	"backporch/internal/table"
)

// A targetRow is a target of deliver, or the disc, which is made of another's
// files.
type targetRow struct {
	*deliver.Target
	Name, Extension, Title, Use string
}

func targetRows() (rows []targetRow) {
	for _, t := range deliver.Targets() {
		rows = append(rows, targetRow{t, t.Name, t.Extension, t.Title, t.Use})
	}
	title := strings.ToUpper(discShort[:1]) + discShort[1:]
	return append(rows, targetRow{deliver.Lookup(deliver.DiscTarget), discName, "folder", title, "disc players"})
}

// targetTable has every column; targetPage leaves room for words.
func targetTable() *table.Table {
	t := &table.Table{Name: "targets", Columns: []table.Column{
		{Name: "Target"}, {Name: "File"}, {Name: "What it is"}, {Name: "For"}, {Name: "Chroma"}, {Name: "Bits"},
		{Name: "Levels within", Key: "within_codes", Unit: "codes", Decimals: 0}, {Name: "Sound"}, {Name: "Rasters"},
	}}
	for _, r := range targetRows() {
		t.Add(r.Name, r.Extension, r.Title, r.Use, strings.Join(r.Chromas(), " or "), depths(r.Depths), r.Tolerance, string(r.Audio), strings.Join(r.Rasters, ", "))
	}
	return t
}

func targetPage() *table.Record {
	main := &table.Table{Name: "targets", Columns: []table.Column{
		{Name: "Target"}, {Name: "File"}, {Name: "Chroma"}, {Name: "Bits"},
		{Name: "Levels within", Key: "within_codes", Unit: "codes", Decimals: 0}, {Name: "Sound"}, {Name: "For"},
	}}
	rasters := &table.Table{Name: "rasters", Title: "Rasters", Columns: []table.Column{{Name: "Target"}, {Name: "Rasters"}}}
	for _, r := range targetRows() {
		main.Add(r.Name, r.Extension, strings.Join(r.Chromas(), " or "), depths(r.Depths), r.Tolerance, string(r.Audio), r.Use)
		rasters.Add(r.Name, strings.Join(r.Rasters, ", "))
	}
	main.Notes = []string{"Within 0 codes is lossless; sound is what is made if nothing else is asked for. `backporch deliver TARGET --help` tells more."}
	return &table.Record{Name: "targets", Tables: []*table.Table{main, rasters}}
}
