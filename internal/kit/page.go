package kit

import (
	"bytes"
	"context"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"image"
	"image/png"
	"io"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/draw"
	"backporch/internal/render"
	"backporch/pattern"
)

//go:embed common.html page.html top.html
var pageFiles embed.FS

// howToPlay says what to do with the files.
func (r *run) howToPlay() string {
	length := "Each video holds its picture once, and what moves for one period: loop it, or make a kit with --seconds for longer ones."
	if r.Frames > 1 {
		length = fmt.Sprintf("Each video holds its picture for %d frames, and what moves for the next whole number of periods: play it in a loop if the work takes longer.", r.Frames)
	}
	if !r.videos() {
		length = "Of what moves, a picture shows the first frame only."
	}
	return length + " Play it at its own size, without scaling, and without conversion of levels."
}

// videos reports whether the kit has any.
func (r *run) videos() bool {
	for _, name := range r.formats {
		if !isStill(name) {
			return true
		}
	}
	return false
}

// pages writes all files that speak of the others.
func (r *run) pages(ctx context.Context, create creator, workers int, all []*made) ([]madeFile, error) {
	list := []madeFile{{Name: "contact-sheet.png"}, {Name: "index.html"}, {Name: "README.txt"}, {Name: "readings.txt"}, {Name: "readings.csv"}}
	writers := []func(io.Writer) error{
		func(w io.Writer) error {
			img, err := r.sheet(all)
			if err != nil {
				return err
			}
			return png.Encode(w, img)
		},
		func(w io.Writer) error { return r.page(w, all) },
		func(w io.Writer) error { return r.readme(w, all) },
		func(w io.Writer) error { return r.writeText(w, all) },
		func(w io.Writer) error { return r.writeCSV(w, all) },
	}
	if err := r.parallel(ctx, len(list), workers, func(int) {}, func(i int) error {
		return list[i].write(create, r.path, writers[i])
	}); err != nil {
		return nil, err
	}
	m, err := r.writeManifest(create, all, list)
	return append(list, m), err
}

// sheet draws the contact sheet from the pictures themselves.
func (r *run) sheet(all []*made) (image.Image, error) {
	s := draw.Sheet{
		Title:    r.title(),
		Subtitle: fmt.Sprintf("%s. Setup: %s. Screen %s. %s%s", r.scanInWords(), render.SetupName(r.Plan), r.aspect(), r.sheetWords(), r.Program),
		Width:    1440, Columns: 5, Aspect: r.Aspect.Float64(),
	}
	tiles := make([]draw.Tile, len(all))
	for i, m := range all {
		img, err := png.Decode(bytes.NewReader(m.png))
		if err != nil {
			return nil, err
		}
		t := draw.Tile{Picture: img, Shape: r.shape(), Title: fmt.Sprintf("%02d %s", m.Number, m.Entry.Name)}
		var caption []string
		if options := strings.TrimSpace(strings.TrimPrefix(m.Spec, m.Entry.Name)); options != "" {
			caption = append(caption, options)
		}
		absent, video := m.absent()
		if a := video.Names(); a != "" {
			caption = append(caption, "video only: "+a)
		}
		if a := absent.Names(); a != "" {
			caption = append(caption, "absent: "+a)
		}
		if a := clippedIn(m); a != "" {
			caption = append(caption, "clipped "+a)
		}
		t.Caption = strings.Join(caption, "; ")
		tiles[i] = t
	}
	return s.Draw(tiles)
}

func (r *run) sheetWords() string {
	if r.videos() && len(r.formats) > 1 {
		return "Video only: what the pictures cannot hold. "
	}
	return "Absent: what the files cannot hold. "
}

// title names the raster and the device.
func (r *run) title() string {
	switch {
	case r.Device != nil && strings.EqualFold(r.Device.Name, r.Raster.Name):
		return "Test pictures for " + r.Device.Name
	case r.Device != nil:
		return "Test pictures for " + r.Device.Name + ", " + r.Raster.Name
	}
	return "Test pictures, " + r.Raster.Name
}

// shape is the pixel shape on the chosen screen.
func (r *run) shape() float64 { return r.Raster.ShapeOn(r.Aspect).Float64() }

func (q *Request) aspect() string { return strings.Replace(q.Aspect.String(), "/", ":", 1) }

func (r *run) scanInWords() string {
	return fmt.Sprintf("%d by %d samples, %s, %.3f fields a second", r.Raster.Width, r.Raster.Height(), r.Raster.Order(), r.Raster.Scan.FieldRate().Float64())
}

type pageData struct {
	Title, Scan, Setup, Screen, Program, Play, Codes string
	Device                                           string // what it is, and a summary of what it cannot show
	Ratio                                            template.CSS
	Cautions                                         []string
	Up                                               bool // there is a page above
	Work                                             []pageStep
	Jobs                                             []pageJob
}

type pageStep struct {
	Title, Do, After  string
	Pictures, Earlier []pageLink
	Number            int
}

type pageLink struct {
	Number int
	Spec   string
}

type pageJob struct {
	Name     string
	Pictures []pagePicture
}

type pagePicture struct {
	Number                   int
	Spec, Use, Source, Still string
	Step                     string
	Files                    []pageFile
	First                    string // the file that the picture on the page links to
	Data                     template.URL
	Video, Absent, Clipped   string
	Moves, Off               string
	Notes                    []string
	Heads                    []string
	Patches                  [][]string
}

type pageFile struct{ Name, Kind string }

func (r *run) page(w io.Writer, all []*made) error {
	t, err := template.ParseFS(pageFiles, "page.html", "common.html")
	if err != nil {
		return err
	}
	d := pageData{
		Title: r.title(), Scan: r.scanInWords(), Setup: render.SetupName(r.Plan), Screen: r.aspect(),
		Program: r.Program, Play: r.howToPlay(), Codes: r.codesInWords(), Cautions: r.cautions(), Up: r.folder != "",
		Ratio: template.CSS(fmt.Sprintf("%.6f", float64(r.Raster.Width)*r.shape()/float64(r.Raster.Height()))),
	}
	if r.Device != nil {
		d.Device = r.Device.Title + ". " + r.summary(all) + " README.txt tells how to copy the files, how to set the device and what it cannot show."
	}
	for i, s := range workOf(all) {
		d.Work = append(d.Work, pageStep{Title: s.Title, Do: s.Do, After: s.After, Number: i + 1, Pictures: links(s.Pictures), Earlier: links(s.Earlier)})
	}
	for _, name := range pattern.Groups() {
		job := pageJob{Name: name}
		for _, m := range all {
			if m.Entry.Group == name {
				job.Pictures = append(job.Pictures, r.onPage(m))
			}
		}
		if len(job.Pictures) > 0 {
			d.Jobs = append(d.Jobs, job)
		}
	}
	return t.Execute(w, d)
}

func links(all []*made) (list []pageLink) {
	for _, m := range all {
		list = append(list, pageLink{m.Number, m.Spec})
	}
	return list
}

// codesInWords says what the columns of codes are of.
func (r *run) codesInWords() string {
	black, white := colorimetry.RGB8.Codes(r.Plan.Map(colorimetry.Gray(0))), colorimetry.RGB8.Codes(r.Plan.Map(colorimetry.Gray(1)))
	below := ""
	if black[0] == 0 {
		below = "; they have no code below black"
	}
	if r.pixels() {
		return fmt.Sprintf("The files hold the colors that the device has, the nearest to those of the pattern, as R'G'B' codes; black is %d and white %d%s.", black[0], white[0], below)
	}
	return fmt.Sprintf("The codes of 8 and 10 bits are those of videos, by ITU-R BT.601: Y, CB, CR. PNG and BMP pictures hold full-range RGB, where black is %d and white %d%s.", black[0], white[0], below)
}

// pixels reports whether the device has colors of its own.
func (r *run) pixels() bool { return r.Device != nil && r.Device.Pixels() }

// cautions are those of the kit: more if something in it flashes.
func (r *run) cautions() []string {
	if r.flashes {
		return append(cautions[:len(cautions):len(cautions)], flashing)
	}
	return cautions
}

func (r *run) onPage(m *made) pagePicture {
	p := pagePicture{Number: m.Number, Spec: m.Spec, Use: sentence(m.Entry.Use), Source: m.Entry.Source, Still: m.Entry.Still, Step: steps[m.Step].Title,
		First: m.files[0].Name, Clipped: clippedIn(m), Notes: m.notes, Moves: m.moves(),
		Data: template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(m.png))}
	for _, f := range m.files {
		kind := "picture"
		if f.Format.Stream {
			kind = "video"
		}
		p.Files = append(p.Files, pageFile{f.Name, kind})
	}
	absent, video := m.absent()
	p.Absent, p.Video = missing(absent), video.Names()
	if m.still() {
		p.Still = "" // it does not flash
	}
	if m.merge != "" {
		p.Notes = append(p.Notes[:len(p.Notes):len(p.Notes)], sentence(m.merge)+".")
	}
	if m.bare != "" {
		p.Notes = append(p.Notes[:len(p.Notes):len(p.Notes)], "No caption: "+m.bare+".")
	}
	if worst := m.worst(); worst != nil && worst.off.Beyond() {
		p.Off = fmt.Sprintf("%s, worst: %s, %s", m.howMany(), worst.name(), worst.off.words())
	}
	p.Heads = r.heads()
	for _, s := range m.spots {
		p.Patches = append(p.Patches, r.row(s))
	}
	return p
}

// moves says what the files show of a pattern that moves; "" for a still.
func (m *made) moves() string {
	if m.files[0].Period <= 1 {
		return ""
	}
	text := "Moves: it repeats after " + plural(m.files[0].Period, "frame") + "."
	for _, f := range m.files {
		if !f.Format.Stream {
			text += " The picture shows frame 0 only."
			break
		}
	}
	for _, f := range m.files {
		if f.Format.Stream && f.Frames%f.Period != 0 {
			text += fmt.Sprintf(" The video stops after %d of them and jumps where it is repeated.", f.Frames)
		} else if f.Format.Stream {
			text += " The video ends where it began: loop it."
		}
	}
	return text
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// sentence begins a line of the catalogue with a capital.
func sentence(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
