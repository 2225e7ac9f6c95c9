package kit

import (
	"encoding/hex"
	"encoding/json"
	"io"

	"backporch/colorimetry"
	"backporch/internal/output"
	"backporch/internal/readings"
	"backporch/internal/render"
)

// The shape of kit.json. Within a version of the schema keys are only added.
type manifest struct {
	Schema   string            `json:"schema"`
	Program  string            `json:"program"`
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
	Play     string            `json:"play"`
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

type manifestPicture struct {
	Number  int             `json:"number"`
	Pattern string          `json:"pattern"`
	Job     string          `json:"job"`
	Use     string          `json:"use"`
	Source  string          `json:"source"`
	Notes   []string        `json:"notes,omitempty"`
	Patches []manifestPatch `json:"patches"`
}

type manifestPatch struct {
	Name    string      `json:"name"`
	Kind    string      `json:"kind"`
	RGB     [3]float64  `json:"rgb_percent"`
	Codes8  [3]uint16   `json:"codes_8_bit"`
	Codes10 [3]uint16   `json:"codes_10_bit"`
	PNG     [3]uint16   `json:"codes_png"` // of what the picture holds in its place
	ToRGB   *[3]float64 `json:"to_rgb_percent,omitempty"`
	To8     *[3]uint16  `json:"to_codes_8_bit,omitempty"`
	To10    *[3]uint16  `json:"to_codes_10_bit,omitempty"`
	ToPNG   *[3]uint16  `json:"to_codes_png,omitempty"`
	Luma    *float64    `json:"luma_mv,omitempty"`
	Clipped bool        `json:"clipped,omitempty"`
	Line    int         `json:"line"`
	At      float64     `json:"at_us"`
}

type manifestFile struct {
	Name    string         `json:"name"`
	Picture int            `json:"picture,omitempty"`
	Holds   string         `json:"holds,omitempty"`
	Frames  int            `json:"frames,omitempty"`
	Bytes   int64          `json:"bytes"`
	SHA256  string         `json:"sha256"`
	Absent  []manifestLost `json:"absent,omitempty"`
	Clipped []manifestLost `json:"clipped,omitempty"`
}

type manifestLost struct {
	Patch  string `json:"patch"`
	Reason string `json:"reason"`
}

// writeManifest writes kit.json, which lists every other file.
func (q *Request) writeManifest(set *output.Set, all []*made, extra []madeFile) (madeFile, error) {
	k := manifest{
		Schema: Manifest.Schema, Program: q.Program,
		Raster: q.Raster.Name, Lines: q.Raster.Scan.System.Lines(), Rate: q.Raster.FrameRate().String(), Order: q.Raster.Order().String(),
		Aspect: q.Aspect.String(), Setup: render.SetupName(q.Plan), Edges: q.Edges.String(), Single: q.Single, Clip: q.Clip,
		Wire: levelsOf(q.Plan.Wire), Player: levelsOf(q.Plan.Player), Play: q.howToPlay(),
	}
	for _, m := range all {
		p := manifestPicture{Number: m.Number, Pattern: m.Spec, Job: m.Entry.Group, Use: m.Entry.Use, Source: m.Entry.Source, Notes: m.notes}
		for i, r := range m.readings {
			x := patchOf(r)
			x.PNG = m.rgb[i]
			if x.To8 != nil {
				x.ToPNG = &m.toRGB[i]
			}
			p.Patches = append(p.Patches, x)
		}
		k.Pictures = append(k.Pictures, p)
		k.Files = append(k.Files, fileOf(m.picture, m.Number), fileOf(m.video, m.Number))
	}
	for _, f := range extra {
		k.Files = append(k.Files, fileOf(f, 0))
	}
	f := madeFile{Name: Manifest.Name}
	return f, f.write(set, func(w io.Writer) error {
		e := json.NewEncoder(w)
		e.SetEscapeHTML(false)
		e.SetIndent("", "  ")
		return e.Encode(k)
	})
}

func patchOf(r readings.Reading) manifestPatch {
	p := manifestPatch{Name: r.Patch.Name, Kind: string(r.Patch.Kind), RGB: rounded(r.RGB), Codes8: r.Codes8, Codes10: r.Codes10,
		Line: r.Line.Number, At: round(r.Microseconds, 1e3)}
	p.Clipped = r.Clipped
	if _, two := r.Ends(); two {
		to := rounded(r.ToRGB)
		p.ToRGB, p.To8, p.To10 = &to, &r.To8, &r.To10
	}
	if r.Luma != nil {
		mv := round(float64(*r.Luma), 1e2)
		p.Luma = &mv
	}
	return p
}

func fileOf(f madeFile, picture int) manifestFile {
	m := manifestFile{Name: f.Name, Picture: picture, Frames: f.Frames, Bytes: f.Bytes, SHA256: hex.EncodeToString(f.Sum[:])}
	if f.Format != nil {
		m.Holds = f.Format.Coding.Name
	}
	for _, l := range f.Lost.Clipped(false) {
		m.Absent = append(m.Absent, manifestLost{l.Patch.Name, l.Reason})
	}
	for _, l := range f.Lost.Clipped(true) {
		m.Clipped = append(m.Clipped, manifestLost{l.Patch.Name, l.Reason})
	}
	return m
}
