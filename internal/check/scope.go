package check

import (
	"encoding/json"
	"fmt"
	"math"

	"backporch/colorimetry"
)

// A Scope is a source as an oscilloscope measured it: what check --scope --json
// printed. The caller sets Family to that of the wire.
type Scope struct {
	Schema     string   `json:"schema"`
	File       string   `json:"file"`
	Pattern    string   `json:"pattern"`
	Raster     string   `json:"raster"`
	Wire       string   `json:"wire"`
	LumaGain   *float64 `json:"luma_gain"` // 1: right
	LumaOffset float64  `json:"luma_offset_mv"`
	ChromaGain *float64 `json:"chroma_gain"` // 1: right; null: that cable or pattern has no color
	Phase      float64  `json:"phase_error_deg"`

	Family *colorimetry.Family `json:"-"`
}

// scopeSchema is the first key of the JSON of a measurement by oscilloscope.
const scopeSchema = "backporch/check-scope/1"

// ParseScope reads the JSON of a measurement. Errors do not name the file.
func ParseScope(data []byte) (*Scope, error) {
	s := &Scope{}
	if err := json.Unmarshal(data, s); err != nil {
		return nil, fmt.Errorf("is no JSON of a measurement: %w; `backporch check --scope --json` prints one", err)
	}
	switch {
	case s.Schema != scopeSchema:
		return nil, fmt.Errorf("has the schema %q, and a measurement by oscilloscope has %q; `backporch check --scope --json` prints one", s.Schema, scopeSchema)
	case s.LumaGain == nil:
		return nil, fmt.Errorf("has no luma gain: the record crossed too few levels; measure a line with black and white, such as one of bars-full")
	case !(*s.LumaGain > 0.2 && *s.LumaGain < 5) || s.ChromaGain != nil && !(*s.ChromaGain > 0.2 && *s.ChromaGain < 5):
		return nil, fmt.Errorf("has gains that no working source has; measure again")
	}
	return s, nil
}

// Check reports a measurement that does not belong to the capture.
func (s *Scope) Check(r *Report) error {
	lines := r.system().Lines()
	switch {
	case s.Family == nil:
		return fmt.Errorf("names the wire %q, which is none", s.Wire)
	case s.Family.Lines != 0 && s.Family.Lines != lines:
		return fmt.Errorf("measured %s, a signal of %d lines, and the capture has %d; measure the source as it was captured", s.Wire, s.Family.Lines, lines)
	}
	return nil
}

// scopeSigma is the standard deviation of a level that was read off an export of
// 8 bits with noise, as a share of white. The gain error of the scope itself,
// which a few per cent are allowed to be, goes into the calibration in full.
const scopeSigma = 0.005

// Known is what the source makes of a level of the pattern.
func (s *Scope) Known(want colorimetry.Signal) (got colorimetry.Signal, sigma [3]float64) {
	black, span := float64(s.Family.Black), float64(s.Family.White-s.Family.Black)
	mv := s.LumaOffset + *s.LumaGain*(black+span*want.Y)
	got.Y = (mv - black) / span
	gain := 1.0
	if s.ChromaGain != nil {
		gain = *s.ChromaGain
	}
	// On a vectorscope: SMPTE 170M-2004 Annex A.3 and ITU-R BT.601-5 clause 3.5.2.
	const perCB, perCR = 0.492111 * 1.772, 0.877283 * 1.402
	sin, cos := math.Sincos(s.Phase * math.Pi / 180)
	u, v := perCB*want.CB, perCR*want.CR
	got.CB = gain * (float64(u*cos) - float64(v*sin)) / perCB
	got.CR = gain * (float64(u*sin) + float64(v*cos)) / perCR
	return got, [3]float64{scopeSigma, scopeSigma, scopeSigma}
}
