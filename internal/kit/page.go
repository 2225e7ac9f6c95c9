package kit

import (
	"bytes"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"image"
	"image/png"
	"io"
	"math"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/draw"
	"backporch/internal/output"
	"backporch/internal/render"
	"backporch/pattern"
)

//go:embed page.html
var pageFiles embed.FS

// howToPlay says what to do with the videos.
func (q *Request) howToPlay() string {
	length := "Each video holds its picture once: loop it, or make a kit with --seconds for longer ones."
	if q.Frames > 1 {
		length = fmt.Sprintf("Each video holds its picture for %d frames: play it in a loop if the work takes longer.", q.Frames)
	}
	return length + " Play it at its own size, without scaling, and without conversion of levels."
}

// pages writes all files that speak of the others.
func (q *Request) pages(set *output.Set, all []*made) ([]madeFile, error) {
	sheet := madeFile{Name: "contact-sheet.png"}
	img, err := q.sheet(all)
	if err != nil {
		return nil, err
	}
	if err := sheet.write(set, func(w io.Writer) error { return png.Encode(w, img) }); err != nil {
		return nil, err
	}
	page := madeFile{Name: "index.html"}
	if err := page.write(set, func(w io.Writer) error { return q.page(w, all) }); err != nil {
		return nil, err
	}
	m, err := q.writeManifest(set, all, []madeFile{sheet, page})
	return []madeFile{sheet, page, m}, err
}

// sheet draws the contact sheet from the pictures themselves.
func (q *Request) sheet(all []*made) (image.Image, error) {
	s := draw.Sheet{
		Title:    "Test pictures, " + q.Raster.Name,
		Subtitle: fmt.Sprintf("%s. Setup: %s. Screen %s. Video only: what the PNG pictures cannot hold. %s", q.scanInWords(), render.SetupName(q.Plan), q.aspect(), q.Program),
		Width:    1440, Columns: 5, Aspect: q.Aspect.Float64(),
	}
	tiles := make([]draw.Tile, len(all))
	for i, m := range all {
		img, err := png.Decode(bytes.NewReader(m.png))
		if err != nil {
			return nil, err
		}
		t := draw.Tile{Picture: img, Shape: q.shape(), Title: fmt.Sprintf("%02d %s", m.Number, m.Entry.Name)}
		var caption []string
		if options := strings.TrimSpace(strings.TrimPrefix(m.Spec, m.Entry.Name)); options != "" {
			caption = append(caption, options)
		}
		if a := m.absent().Names(); a != "" {
			caption = append(caption, "video only: "+a)
		}
		if a := m.picture.Lost.Clipped(true).Names(); a != "" {
			caption = append(caption, "clipped: "+a)
		}
		t.Caption = strings.Join(caption, "; ")
		tiles[i] = t
	}
	return s.Draw(tiles)
}

// shape is the pixel shape on the chosen screen.
func (q *Request) shape() float64 {
	return q.Raster.ShapeOn(q.Aspect).Float64()
}

func (q *Request) aspect() string { return strings.Replace(q.Aspect.String(), "/", ":", 1) }

func (q *Request) scanInWords() string {
	return fmt.Sprintf("%d by %d samples, %s, %.3f fields a second", q.Raster.Width, q.Raster.Height(), q.Raster.Order(), q.Raster.Scan.FieldRate().Float64())
}

type pageData struct {
	Title, Scan, Setup, Screen, Program, Play string
	Ratio                                     template.CSS
	Black, White                              string // of the pictures, as R'G'B' codes
	BelowBlack                                bool
	Cautions                                  []string
	Jobs                                      []pageJob
}

type pageJob struct {
	Name     string
	Pictures []pagePicture
}

type pagePicture struct {
	Number                   int
	Spec, Use, Source, Still string
	Picture, Video           string
	Data                     template.URL
	Absent, Missing, Clipped string
	Notes                    []string
	Luma                     bool
	Patches                  []pagePatch
}

type pagePatch struct{ Name, RGB, Codes8, Codes10, PNG, Luma string }

func (q *Request) page(w io.Writer, all []*made) error {
	t, err := template.ParseFS(pageFiles, "page.html")
	if err != nil {
		return err
	}
	black, white := colorimetry.RGB8.Codes(q.Plan.Map(colorimetry.Gray(0))), colorimetry.RGB8.Codes(q.Plan.Map(colorimetry.Gray(1)))
	d := pageData{
		Black: fmt.Sprint(black[0]), White: fmt.Sprint(white[0]), BelowBlack: black[0] > 0,
		Title: "Test pictures, " + q.Raster.Name, Scan: q.scanInWords(), Setup: render.SetupName(q.Plan), Screen: q.aspect(),
		Program: q.Program, Play: q.howToPlay(), Cautions: cautions,
		Ratio: template.CSS(fmt.Sprintf("%.6f", float64(q.Raster.Width)*q.shape()/float64(q.Raster.Height()))),
	}
	for _, name := range pattern.Groups() {
		job := pageJob{Name: name}
		for _, m := range all {
			if m.Entry.Group == name {
				job.Pictures = append(job.Pictures, m.onPage())
			}
		}
		if len(job.Pictures) > 0 {
			d.Jobs = append(d.Jobs, job)
		}
	}
	return t.Execute(w, d)
}

func (m *made) onPage() pagePicture {
	p := pagePicture{Number: m.Number, Spec: m.Spec, Use: sentence(m.Entry.Use), Source: m.Entry.Source, Still: m.Entry.Still,
		Picture: m.picture.Name, Video: m.video.Name, Absent: m.absent().Names(), Missing: m.missing(), Clipped: clippedIn(m), Notes: m.notes,
		Data: template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(m.png))}
	for i, r := range m.readings {
		x := pagePatch{PNG: r.Words(m.rgb[i], m.toRGB[i]), Name: r.Patch.Name, RGB: percents(r.RGB), Codes8: r.Words(r.Codes8, r.To8), Codes10: r.Words(r.Codes10, r.To10)}
		if word, two := r.Ends(); two {
			x.RGB += word + percents(r.ToRGB)
		}
		if r.Luma != nil {
			x.Luma, p.Luma = fmt.Sprintf("%.1f", float64(*r.Luma)), true
			if r.Clipped {
				x.Luma += " (clipped)"
			}
		}
		p.Patches = append(p.Patches, x)
	}
	return p
}

// sentence begins a line of the catalogue with a capital.
func sentence(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// clippedIn says which patches the plan puts out of reach, and in which file.
func clippedIn(m *made) string {
	picture, video := m.picture.Lost.Clipped(true).Names(), m.video.Lost.Clipped(true).Names()
	switch {
	case picture == "" && video == "":
		return ""
	case video == "":
		return "in the picture, not in the video: " + picture
	case picture == video:
		return "in picture and video: " + picture
	case picture == "":
		return "in the video: " + video
	}
	return "in the picture: " + picture + "; in the video: " + video
}

func percents(v [3]float64) string {
	v = rounded(v)
	return fmt.Sprintf("%g %g %g", v[0], v[1], v[2])
}

// rounded keeps two decimals of per cents.
func rounded(v [3]float64) [3]float64 {
	for i := range v {
		v[i] = round(v[i], 100)
	}
	return v
}

// round keeps the decimals that scale says, and has no negative zero.
func round(v, scale float64) float64 { return math.Round(v*scale)/scale + 0 }
