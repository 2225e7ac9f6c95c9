package wavefile

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"

	"backporch/internal/composite"
	"backporch/internal/encode/samples"
	"backporch/timing"
)

// Schema is the version of the description. Within it keys are only added.
const Schema = "backporch/wave/1"

// Meta is the description of a file of samples. Its JSON has a key for each
// field that ends in the unit; exact figures are strings of a rational.
type Meta struct {
	Schema  string `json:"schema"`
	Program string `json:"program"`
	File    string `json:"file,omitempty"`
	Bytes   int64  `json:"bytes"`
	SHA256  string `json:"sha256"`

	Format   string `json:"format"`
	Encoding string `json:"encoding"`

	Pattern string `json:"pattern"`
	Raster  string `json:"raster"`
	Aspect  string `json:"aspect"`
	Setup   string `json:"setup"`
	Player  string `json:"player,omitempty"`

	Wire   string `json:"wire"`
	Levels Levels `json:"levels"`

	System   string `json:"system"`
	Scan     string `json:"scan"`
	Lines    int    `json:"lines"`
	Fields   int    `json:"fields"`
	LineRate string `json:"line_rate_hz"`

	Rate            string  `json:"rate_hz"`
	RateInFile      int64   `json:"rate_in_file_hz,omitempty"` // of a WAV, a whole number
	RateError       float64 `json:"rate_in_file_error_ppm"`
	SamplesPerLine  string  `json:"samples_per_line"`
	SamplesPerFrame string  `json:"samples_per_frame"`
	Samples         int64   `json:"samples"` // of each channel, in the whole file
	Frames          int     `json:"frames"`
	Sequence        int     `json:"frames_of_color_sequence"`
	Seconds         float64 `json:"duration_s"`

	Origin      string   `json:"origin"`
	After       string   `json:"origin_samples_after_0h"`
	ColorField  int      `json:"first_color_field"`
	Termination int      `json:"termination_ohm"`
	Delay       int      `json:"chroma_to_luma_delay_ns"`
	Carrier     *Carrier `json:"subcarrier,omitempty"`

	Channels []Channel `json:"channels"`
	Notes    []string  `json:"notes"`
}

// Levels are those of the wire's family, in mV above blanking.
type Levels struct {
	Black  float64 `json:"black_mv"`
	White  float64 `json:"white_mv"`
	Sync   float64 `json:"sync_mv"`
	Burst  float64 `json:"burst_mv_pp,omitempty"`
	Chroma float64 `json:"chroma_mv_pp,omitempty"` // of a full CB or CR; component only
}

// Carrier is what a composite or Y/C signal has besides.
type Carrier struct {
	Frequency string  `json:"frequency_hz"`
	Cycles    string  `json:"cycles_per_line"`
	SCH       int     `json:"sch_phase_degrees"`
	Band      string  `json:"chroma_band"`
	Burst     float64 `json:"burst_percent"`       // of the standard's amplitude
	Gain      float64 `json:"chroma_gain_percent"` // likewise
}

// A Channel says what the words of a channel stand for:
//
//	mV = (code - Zero) * PerCode
type Channel struct {
	Name    string  `json:"name"`
	PerCode float64 `json:"mv_per_code"`
	Zero    int     `json:"zero_code"`
	Lowest  int     `json:"lowest_code"`
	Highest int     `json:"highest_code"`
	Clipped int64   `json:"clipped_samples"` // that had no code of their own
}

// scale is the inverse of what a Channel says.
func (c Channel) scale() samples.Scale {
	return samples.Scale{PerMillivolt: 1 / c.PerCode, Zero: c.Zero, Lowest: c.Lowest, Highest: c.Highest}
}

// maxFrames is more than a day of fields; every count below it is exact.
const maxFrames = 10_000_000

// JSON returns the description as a file, with a newline at its end.
func (m *Meta) JSON() ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	err := e.Encode(m)
	return b.Bytes(), err
}

// Parse reads a description and checks that it is one of a signal that can be.
// The error names the key that is wrong.
func Parse(b []byte) (*Meta, error) {
	m := &Meta{}
	if err := json.Unmarshal(b, m); err != nil {
		return nil, fmt.Errorf("it is no JSON of ours: %w", err)
	}
	if m.Schema != Schema {
		return nil, fmt.Errorf("schema is %q; this program reads %q", m.Schema, Schema)
	}
	w, base, err := m.signal()
	if err != nil {
		return nil, err
	}
	switch {
	case m.Format == CSV || usable(m.Format) != nil:
		return nil, fmt.Errorf("format is %q; wav, s16 and u16 are read", m.Format)
	case m.Lines != base.Scan.Lines || m.Fields != base.Scan.Fields:
		return nil, fmt.Errorf("lines and fields are %d and %d; %s has %d and %d", m.Lines, m.Fields, m.Scan, base.Scan.Lines, base.Scan.Fields)
	case m.Rate != base.Rate.String():
		return nil, fmt.Errorf("rate_hz is %q; %s has %s", m.Rate, w.Name, base.Rate)
	case m.Frames < 1 || m.Frames > maxFrames:
		return nil, fmt.Errorf("frames is %d; it must be 1 to %d", m.Frames, maxFrames)
	case m.ColorField < 1 || m.ColorField > maxFrames || (m.ColorField-1)%base.Scan.Fields != 0:
		return nil, fmt.Errorf("first_color_field is %d, which begins no frame", m.ColorField)
	case m.Samples != length(base, m.first(), m.Frames):
		return nil, fmt.Errorf("samples is %d; %d frames have %d", m.Samples, m.Frames, length(base, m.first(), m.Frames))
	case len(m.Channels) != len(w.Channels()):
		return nil, fmt.Errorf("channels are %d; %s has %d", len(m.Channels), w.Name, len(w.Channels()))
	}
	for i, c := range m.Channels {
		if name := w.Channels()[i]; c.Name != name {
			return nil, fmt.Errorf("channel %d is %q; that of %s is %q", i+1, c.Name, w.Name, name)
		}
		if err := c.scale().Check(); err != nil {
			return nil, fmt.Errorf("channel %s: %w", c.Name, err)
		}
	}
	return m, nil
}

// signal returns the wire and the time base of the description.
func (m *Meta) signal() (*composite.Wire, composite.Timebase, error) {
	w := composite.Lookup(m.Wire)
	if w == nil {
		return nil, composite.Timebase{}, fmt.Errorf("wire is %q, which is none", m.Wire)
	}
	s := timing.LookupScan(m.Scan)
	if s == nil {
		return nil, composite.Timebase{}, fmt.Errorf("scan is %q, which is none", m.Scan)
	}
	return w, w.Timebase(s), w.Check(s)
}

// first is the number of the first frame in the color sequence.
func (m *Meta) first() int { return (m.ColorField - 1) / m.Fields }

// length returns the samples of so many frames, counted from first.
func length(t composite.Timebase, first, frames int) int64 {
	lines := int64(t.Scan.Lines)
	return t.First(int64(first+frames)*lines) - t.First(int64(first)*lines)
}

// round keeps so many decimals.
func round(v float64, decimals int) float64 {
	p := math.Pow10(decimals)
	return math.Round(v*p) / p
}
