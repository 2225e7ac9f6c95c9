package kit

import (
	"encoding/hex"
	"encoding/json"
	"io"

	"backporch/internal/output"
	"backporch/internal/readings"
	"backporch/internal/render"
	"backporch/pattern"
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
	Wire     string            `json:"wire,omitempty"`
	Player   string            `json:"player,omitempty"`
	Edges    string            `json:"edges"`
	Play     string            `json:"play"`
	Pictures []manifestPicture `json:"pictures"`
	Files    []manifestFile    `json:"files"`
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
	ToRGB   *[3]float64 `json:"to_rgb_percent,omitempty"`
	To8     *[3]uint16  `json:"to_codes_8_bit,omitempty"`
	To10    *[3]uint16  `json:"to_codes_10_bit,omitempty"`
	Luma    *float64    `json:"luma_mv,omitempty"`
	Line    int         `json:"line"`
	At      float64     `json:"at_us"`
}

type manifestFile struct {
	Name    string           `json:"name"`
	Picture int              `json:"picture,omitempty"`
	Holds   string           `json:"holds,omitempty"`
	Frames  int              `json:"frames,omitempty"`
	Bytes   int64            `json:"bytes"`
	SHA256  string           `json:"sha256"`
	Absent  []manifestAbsent `json:"absent,omitempty"`
}

type manifestAbsent struct {
	Patch  string `json:"patch"`
	Reason string `json:"reason"`
}

// writeManifest writes kit.json, which lists every other file.
func (q *Request) writeManifest(set *output.Set, all []*made, extra []madeFile) (madeFile, error) {
	k := manifest{
		Schema: Manifest.Schema, Program: q.Program,
		Raster: q.Raster.Name, Lines: lines(q.Raster), Rate: q.Raster.FrameRate().String(), Order: q.Raster.Order().String(),
		Aspect: q.Aspect.String(), Setup: render.SetupName(q.Plan), Edges: q.Edges.String(), Play: howToPlay,
	}
	if q.Plan.Wire != nil {
		k.Wire = q.Plan.Wire.Name
	}
	if q.Plan.Player != nil {
		k.Player = q.Plan.Player.Name
	}
	for _, m := range all {
		p := manifestPicture{Number: m.Number, Pattern: m.Spec, Job: m.Entry.Group, Use: m.Entry.Use, Source: m.Entry.Source, Notes: m.notes}
		for _, r := range m.readings {
			p.Patches = append(p.Patches, patchOf(r))
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
	if r.Patch.Kind == pattern.Ramp || r.Patch.Kind == pattern.RampDown {
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
	for _, l := range f.Lost {
		m.Absent = append(m.Absent, manifestAbsent{l.Patch.Name, l.Reason})
	}
	return m
}
