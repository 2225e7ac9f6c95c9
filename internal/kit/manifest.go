package kit

import (
	"encoding/hex"
	"encoding/json"
	"io"

	"backporch/colorimetry"
	"backporch/internal/readings"
	"backporch/internal/render"
)

// The shape of kit.json. Within a version of the schema keys are only added.
type manifest struct {
	Schema   string            `json:"schema"`
	Program  string            `json:"program"`
	Device   string            `json:"device,omitempty"`
	Raster   string            `json:"raster"`
	Lines    int               `json:"lines"`
	Rate     string            `json:"frame_rate_hz"`
	Order    string            `json:"field_order"`
	Aspect   string            `json:"aspect"`
	Setup    string            `json:"setup"`
	Wire     *manifestLevels   `json:"wire,omitempty"`
	Player   *manifestLevels   `json:"player,omitempty"`
	Edges    string            `json:"edges"`
	Single   bool              `json:"single_line"`
	Clip     bool              `json:"clip"`
	Ident    string            `json:"ident,omitempty"`
	Dither   bool              `json:"dither,omitempty"`
	Play     string            `json:"play"`
	Steps    []manifestStep    `json:"steps"`
	Pictures []manifestPicture `json:"pictures"`
	Files    []manifestFile    `json:"files"`
}

type manifestLevels struct {
	Name   string  `json:"name"`
	Black  float64 `json:"black_mv"`
	White  float64 `json:"white_mv"`
	Sync   float64 `json:"sync_mv"`
	Chroma float64 `json:"chroma_mv,omitempty"`
	Burst  float64 `json:"burst_mv,omitempty"`
}

// levelsOf returns nil for levels that are not known.
func levelsOf(f *colorimetry.Family) *manifestLevels {
	if f == nil {
		return nil
	}
	mv := func(m colorimetry.Millivolt) float64 { return round(float64(m), 1e2) }
	return &manifestLevels{f.Name, mv(f.Black), mv(f.White), mv(f.Sync), mv(f.Chroma), mv(f.Burst)}
}

// A manifestStep is one stage of the work, with the numbers of its pictures
// and of those of earlier steps that serve again.
type manifestStep struct {
	Step     string `json:"step"`
	Do       string `json:"do"`
	After    string `json:"do_before,omitempty"`
	Pictures []int  `json:"pictures,omitempty"`
	Again    []int  `json:"pictures_again,omitempty"`
}

type manifestPicture struct {
	Number  int             `json:"number"`
	Pattern string          `json:"pattern"`
	Step    string          `json:"step"`
	Job     string          `json:"job"`
	Use     string          `json:"use"`
	Source  string          `json:"source"`
	Notes   []string        `json:"notes,omitempty"`
	Period  int             `json:"period_frames"`
	Bare    string          `json:"no_caption,omitempty"`
	Merge   string          `json:"merged_colors,omitempty"`
	Patches []manifestPatch `json:"patches"`
}

type manifestPatch struct {
	Name    string      `json:"name"`
	Kind    string      `json:"kind"`
	RGB     [3]float64  `json:"rgb_percent"`
	Codes8  *[3]uint16  `json:"codes_8_bit,omitempty"` // not of devices with colors of their own
	Codes10 *[3]uint16  `json:"codes_10_bit,omitempty"`
	PNG     [3]uint16   `json:"codes_png"` // of what the picture holds in its place
	ToRGB   *[3]float64 `json:"to_rgb_percent,omitempty"`
	To8     *[3]uint16  `json:"to_codes_8_bit,omitempty"`
	To10    *[3]uint16  `json:"to_codes_10_bit,omitempty"`
	ToPNG   *[3]uint16  `json:"to_codes_png,omitempty"`
	Luma    *float64    `json:"luma_mv,omitempty"`
	Clipped bool        `json:"clipped,omitempty"`
	Line    int         `json:"line"`
	At      float64     `json:"at_us"`

	Off   *manifestOff `json:"off,omitempty"`
	ToOff *manifestOff `json:"to_off,omitempty"`
}

// A manifestOff is how far a device is from what is wanted. Of gray there is
// the color that it has instead.
type manifestOff struct {
	Luma   float64  `json:"luma"`
	Unit   string   `json:"luma_unit"` // IRE, or per cent of white
	Chroma *float64 `json:"chroma_percent,omitempty"`
	Hue    *float64 `json:"hue_deg,omitempty"`
	Gray   *float64 `json:"color_in_gray,omitempty"` // in the unit of luma, peak to peak
	Beyond bool     `json:"beyond_limit"`
	Note   string   `json:"note,omitempty"`
}

type manifestFile struct {
	Name    string         `json:"name"`
	Picture int            `json:"picture,omitempty"`
	Holds   string         `json:"holds,omitempty"`
	Chroma  string         `json:"chroma,omitempty"`
	Frames  int            `json:"frames,omitempty"`
	Loop    string         `json:"loop,omitempty"`
	Bytes   int64          `json:"bytes"`
	SHA256  string         `json:"sha256"`
	Absent  []manifestLost `json:"absent,omitempty"`
	Clipped []manifestLost `json:"clipped,omitempty"`
}

type manifestLost struct {
	Patch  string `json:"patch"`
	Reason string `json:"reason"`
}

// writeManifest writes kit.json, which lists every other file of the folder.
func (r *run) writeManifest(create creator, all []*made, extra []madeFile) (madeFile, error) {
	k := manifest{
		Schema: Manifest.Schema, Program: r.Program,
		Raster: r.Raster.Name, Lines: r.Raster.Scan.System.Lines(), Rate: r.Raster.FrameRate().String(), Order: r.Raster.Order().String(),
		Aspect: r.Aspect.String(), Setup: render.SetupName(r.Plan), Edges: r.Edges.String(), Single: r.Single, Clip: r.Clip, Ident: r.Ident, Dither: r.Dither,
		Wire: levelsOf(r.Plan.Wire), Player: levelsOf(r.Plan.Player), Play: r.howToPlay(),
	}
	if r.Device != nil {
		k.Device = r.Device.Name
	}
	for _, s := range workOf(all) {
		k.Steps = append(k.Steps, manifestStep{s.Title, s.Do, s.After, numbers(s.Pictures), numbers(s.Earlier)})
	}
	for _, m := range all {
		p := manifestPicture{Number: m.Number, Pattern: m.Spec, Step: steps[m.Step].Title, Job: m.Entry.Group, Use: m.Entry.Use, Source: m.Entry.Source,
			Notes: m.notes, Period: m.files[0].Period, Bare: m.bare, Merge: m.merge}
		for _, s := range m.spots {
			p.Patches = append(p.Patches, patchOf(s, m.pixels))
		}
		k.Pictures = append(k.Pictures, p)
		for _, f := range m.files {
			k.Files = append(k.Files, fileOf(f, m.Number))
		}
	}
	for _, f := range extra {
		k.Files = append(k.Files, fileOf(f, 0))
	}
	return writeJSON(create, r.path, k)
}

// writeJSON writes a kit.json.
func writeJSON(create creator, path func(string) string, v any) (madeFile, error) {
	f := madeFile{Name: Manifest.Name}
	return f, f.write(create, path, func(w io.Writer) error {
		e := json.NewEncoder(w)
		e.SetEscapeHTML(false)
		e.SetIndent("", "  ")
		return e.Encode(v)
	})
}

func numbers(all []*made) (list []int) {
	for _, m := range all {
		list = append(list, m.Number)
	}
	return list
}

func patchOf(s spot, pixels bool) manifestPatch {
	r := s.Reading
	p := manifestPatch{Name: r.Patch.Name, Kind: string(r.Patch.Kind), RGB: rounded(r.RGB), PNG: s.file,
		Clipped: r.Clipped, Line: r.Line.Number, At: round(r.Microseconds, 1e3), Off: offOf(s.deviations[0])}
	if !pixels {
		p.Codes8, p.Codes10 = &r.Codes8, &r.Codes10
	}
	if _, two := r.Ends(); two {
		to := rounded(r.ToRGB)
		p.ToRGB, p.ToPNG, p.ToOff = &to, &s.to, offOf(s.deviations[1])
		if !pixels {
			p.To8, p.To10 = &r.To8, &r.To10
		}
	}
	if mv := s.luma(); mv != nil {
		rounded := round(float64(*mv), 1e2)
		p.Luma = &rounded
	}
	return p
}

// luma is the level on the wire of the first end; nil where no wire is known.
func (s *spot) luma() *colorimetry.Millivolt {
	if s.Luma == nil || !s.device {
		return s.Luma
	}
	l := readings.On(s.wire, s.held[0]).Luma
	return &l
}

func offOf(d *deviation) *manifestOff {
	if d == nil {
		return nil
	}
	o := &manifestOff{Luma: round(d.Error.Luma, 1e2), Unit: d.unit, Beyond: d.Beyond(), Note: d.Note}
	chroma, hue := round(d.Error.Chroma, 1e2), round(d.Error.Hue, 1e2)
	if d.Neutral {
		o.Gray = &chroma
	} else {
		o.Chroma, o.Hue = &chroma, &hue
	}
	return o
}

func fileOf(f madeFile, picture int) manifestFile {
	m := manifestFile{Name: f.Name, Picture: picture, Frames: f.Frames, Loop: f.loop(), Bytes: f.Bytes, SHA256: hex.EncodeToString(f.Sum[:])}
	if f.Format != nil {
		m.Holds = f.Format.Coding.Name
		if f.Format.Coding.Model == colorimetry.YCbCr {
			m.Chroma = f.Format.Chroma
		}
	}
	for _, l := range f.Lost.Clipped(false) {
		m.Absent = append(m.Absent, manifestLost{l.Patch.Name, l.Reason})
	}
	for _, l := range f.Lost.Clipped(true) {
		m.Clipped = append(m.Clipped, manifestLost{l.Patch.Name, l.Reason})
	}
	return m
}
