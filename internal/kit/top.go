package kit

import (
	"html/template"
	"io"

	"backporch/internal/render"
)

// The kit.json on top of a kit of several folders, each of which has its own.
type topManifest struct {
	Schema  string         `json:"schema"`
	Program string         `json:"program"`
	Device  string         `json:"device,omitempty"`
	Kits    []topKit       `json:"kits"`
	Files   []manifestFile `json:"files"` // of all folders
}

type topKit struct {
	Folder string `json:"folder"`
	Raster string `json:"raster"`
	Setup  string `json:"setup"`
}

// top writes the page and the manifest above several folders.
func (q *Request) top(runs []*run, listed []madeFile, create creator) ([]madeFile, error) {
	same := func(name string) string { return name }
	page := madeFile{Name: "index.html"}
	if err := page.write(create, same, func(w io.Writer) error { return q.topPage(w, runs) }); err != nil {
		return nil, err
	}
	k := topManifest{Schema: Manifest.Schema, Program: q.Program}
	if q.Device != nil {
		k.Device = q.Device.Name
	}
	for _, r := range runs {
		k.Kits = append(k.Kits, topKit{r.folder, r.Raster.Name, render.SetupName(r.Plan)})
	}
	for _, f := range listed {
		k.Files = append(k.Files, fileOf(f, 0))
	}
	k.Files = append(k.Files, fileOf(page, 0))
	m, err := writeJSON(create, same, k)
	return []madeFile{page, m}, err
}

type topData struct {
	Title, Screen, Program string
	Cautions               []string
	Kits                   []topRow
}

type topRow struct{ Folder, Raster, Use, Scan, Setup string }

func (q *Request) topPage(w io.Writer, runs []*run) error {
	t, err := template.ParseFS(pageFiles, "top.html", "common.html")
	if err != nil {
		return err
	}
	d := topData{Title: "Test pictures", Screen: q.aspect(), Program: q.Program}
	if q.Device != nil {
		d.Title += " for " + q.Device.Name
	}
	d.Cautions = cautions
	for _, r := range runs {
		if r.flashes {
			d.Cautions = r.cautions()
		}
		d.Kits = append(d.Kits, topRow{r.folder, r.Raster.Name, r.Raster.Note, r.scanInWords(), render.SetupName(r.Plan)})
	}
	return t.Execute(w, d)
}
