package measure

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"time"

	"backporch/colorimetry"
)

// CalibrationSchema is the first key of the file of a Calibration.
const CalibrationSchema = "backporch/capture-device/1"

// A Calibration is what a capture device does to a picture, learned from a
// source whose levels are known. Levels are shares of white, as the codes of the
// capture say them; U and V are amplitudes on the subcarrier.
type Calibration struct {
	Schema  string    `json:"schema"`
	Program string    `json:"program"`
	Made    time.Time `json:"made"`
	Name    string    `json:"name"`   // of the device, as the user calls it; "" for none
	File    string    `json:"file"`   // the capture that it was learned from
	Source  string    `json:"source"` // how its levels were known: exact, or the name of a measurement by oscilloscope
	Pattern string    `json:"pattern"`
	Raster  string    `json:"raster"`
	Lines   int       `json:"lines"` // of the system, 525 or 625
	Width   int       `json:"width"` // of the capture
	Height  int       `json:"height"`
	Frames  int       `json:"frames"`

	LumaGain   float64 `json:"luma_gain"`
	Black      float64 `json:"black"` // what black becomes
	SigmaBlack float64 `json:"black_sigma"`
	SigmaWhite float64 `json:"white_sigma"`
	Bent       float64 `json:"luma_bent"` // greatest departure of a level from the straight line

	Chroma      *[2][2]float64 `json:"chroma_matrix"` // null: the pattern had no color
	ChromaShift [2]float64     `json:"chroma_shift"`
	SigmaChroma float64        `json:"chroma_sigma"`
	ChromaBent  float64        `json:"chroma_bent"`

	Shift      *float64 `json:"shift_samples"` // null: the pattern does not show it
	SigmaShift float64  `json:"shift_sigma_samples"`
	Down       *float64 `json:"shift_rows"`
	SigmaDown  float64  `json:"shift_sigma_rows"`

	Bandwidth       *float64 `json:"bandwidth_mhz"` // null: not found to end, or not seen
	ChromaBandwidth *float64 `json:"chroma_bandwidth_mhz"`
	CutsBlack       bool     `json:"cuts_below_black"`
	CutsWhite       bool     `json:"cuts_above_white"`
}

// A Known is a source whose levels were measured: what it makes of a level of
// the pattern, and the standard deviation of each component. The source that is
// stated to be exact makes the level itself.
type Known func(colorimetry.Signal) (s colorimetry.Signal, sigma [3]float64)

// Exact is the source that is stated to be so.
func Exact(s colorimetry.Signal) (colorimetry.Signal, [3]float64) { return s, [3]float64{} }

// usable: beyond these a fit is no calibration but a fault of the set-up.
const (
	mostBent  = 0.03 // of white: three times what SMPTE 170M-2004 table 1 allows a level
	leastGain = 0.5
	mostGain  = 2
)

// Learn returns what the capture device did, from what was measured without any
// correction. The caller adds Program, Made, File, Source, Pattern and Frames.
func Learn(r *Result, q *Request, source Known) (*Calibration, error) {
	// A picture that correlates as only the pattern does has its levels where they
	// are looked for, whichever of several like places it is.
	exact := r.Place.Sure >= 0.9 || q.Region != [4]float64{}
	if !exact && r.Place.Score < 0.95 {
		return nil, fmt.Errorf("where the picture lies is sure to %.0f %% only, and a calibration rests on it; capture %s again, whole, or give --region", 100*r.Place.Sure, q.Name)
	}
	l := fitLevels(r.Patches, func(p *Patch) (colorimetry.Signal, [3]float64) { return source(p.Expect) })
	if !l.LumaKnown {
		return nil, fmt.Errorf("%s has no black and white to learn levels from; play bars-eg1 or bars-full", q.Name)
	}
	if l.Gain < leastGain || l.Gain > mostGain {
		return nil, fmt.Errorf("luma would have a gain of %.2f, which no working capture device has; look whether it is the right pattern and the right source", l.Gain)
	}
	if l.Bent > mostBent {
		return nil, fmt.Errorf("no straight line leads from the levels of the source to those of the capture: %q lies %.1f %% of white off; switch automatic gain and picture modes of the capture device off, and see that it is the right pattern", l.BentAt, 100*l.Bent)
	}
	c := &Calibration{
		Schema: CalibrationSchema, Raster: q.Raster.Name, Lines: q.Raster.Scan.System.Lines(),
		Width: q.Picture.Width, Height: q.Picture.Height, Frames: q.Picture.Frames,
		LumaGain: l.Gain, Black: l.Black, SigmaBlack: l.SigmaBlack, SigmaWhite: l.SigmaWhite, Bent: l.Bent,
	}
	if l.ChromaKnown {
		if g := l.ChromaGain(); g < leastGain/2 || g > 2*mostGain || determinant(l.Matrix) <= 0 {
			return nil, fmt.Errorf("color comes out mirrored or with a gain of %.2f, which no working capture device does; look at its cables and its system setting", g)
		}
		c.Chroma, c.ChromaShift, c.SigmaChroma, c.ChromaBent = &l.Matrix, l.Shift, l.SigmaChroma, l.ChromaBent
	}
	right, down, _, _ := r.Place.Against(r.Nominal)
	if exact && r.Place.XKnown {
		c.Shift, c.SigmaShift = &right, r.Place.SigmaX
	}
	if exact && r.Place.YKnown {
		c.Down, c.SigmaDown = &down, r.Place.SigmaY
	}
	for _, f := range r.Findings {
		v := f.Value
		switch {
		case f.Confidence < 0.5:
		case f.Fault == Bandwidth && isFigure(v):
			c.Bandwidth = &v
		case f.Fault == ChromaBandwidth && isFigure(v):
			c.ChromaBandwidth = &v
		case f.Fault == BelowBlackCut:
			c.CutsBlack = true
		case f.Fault == AboveWhiteCut:
			c.CutsWhite = true
		}
	}
	return c, nil
}

func determinant(m [2][2]float64) float64 { return float64(m[0][0]*m[1][1]) - float64(m[0][1]*m[1][0]) }

func isFigure(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// Correct takes out of a captured level what the device did. Color is left as
// it is where the calibration does not know it.
func (c *Calibration) Correct(s colorimetry.Signal) colorimetry.Signal {
	out := colorimetry.Signal{Y: (s.Y - c.Black) / c.LumaGain, CB: s.CB, CR: s.CR}
	if c.Chroma == nil {
		return out
	}
	u, v := vector(s)
	u, v = u-c.ChromaShift[0], v-c.ChromaShift[1]
	m, d := c.Chroma, determinant(*c.Chroma)
	out.CB, out.CR = unvector((float64(m[1][1]*u)-float64(m[0][1]*v))/d, (float64(m[0][0]*v)-float64(m[1][0]*u))/d)
	return out
}

// SigmaLuma is the standard deviation that the calibration leaves in a level.
func (c *Calibration) SigmaLuma(y float64) float64 {
	return math.Hypot((1-y)*c.SigmaBlack, y*c.SigmaWhite) / c.LumaGain
}

// ChromaGain, Phase and their standard deviations: see Levels.
func (c *Calibration) ChromaGain() (gain, sigma float64) {
	if c.Chroma == nil {
		return math.NaN(), math.NaN()
	}
	return (&Levels{Matrix: *c.Chroma}).ChromaGain(), c.SigmaChroma / math.Sqrt2
}

// Phase returns the turn of color in degrees, and its standard deviation.
func (c *Calibration) Phase() (degrees, sigma float64) {
	if c.Chroma == nil {
		return math.NaN(), math.NaN()
	}
	l := &Levels{Matrix: *c.Chroma}
	return l.Phase(), c.SigmaChroma / math.Sqrt2 / l.ChromaGain() * 180 / math.Pi
}

// JSON returns the calibration as its file holds it.
func (c *Calibration) JSON() ([]byte, error) {
	b, err := json.MarshalIndent(c, "", "  ")
	return append(b, '\n'), err
}

// ParseCalibration reads what JSON wrote. Errors do not name the file.
func ParseCalibration(data []byte) (*Calibration, error) {
	var head struct {
		Schema string `json:"schema"`
	}
	if err := json.Unmarshal(data, &head); err != nil {
		return nil, fmt.Errorf("is no JSON: %w; `backporch check --learn` writes calibrations", err)
	}
	if head.Schema != CalibrationSchema {
		return nil, fmt.Errorf("has the schema %q, and a calibration of a capture device has %q; `backporch check --learn` writes one", head.Schema, CalibrationSchema)
	}
	c := &Calibration{}
	d := json.NewDecoder(bytes.NewReader(data))
	if err := d.Decode(c); err != nil {
		return nil, fmt.Errorf("is no calibration: %w", err)
	}
	switch {
	case !(c.LumaGain >= leastGain && c.LumaGain <= mostGain):
		return nil, fmt.Errorf("says a luma gain of %g, which no device has; learn the device anew", c.LumaGain)
	case !(math.Abs(c.Black) < 0.5):
		return nil, fmt.Errorf("says that black becomes %g of white, which no device does; learn the device anew", c.Black)
	case c.Chroma != nil && !(determinant(*c.Chroma) > 0.01):
		return nil, fmt.Errorf("has a chroma matrix that cannot be undone; learn the device anew")
	case c.Lines != 525 && c.Lines != 625:
		return nil, fmt.Errorf("is for %d lines, which is no system; learn the device anew", c.Lines)
	}
	return c, nil
}

// old is the age at which a calibration is doubted: gain and clamp of an analog
// input drift over months (common practice).
const old = 180 * 24 * time.Hour

// Doubts says why a calibration may not fit a capture.
func (c *Calibration) Doubts(q *Request, now time.Time) (list []string) {
	if n := q.Raster.Scan.System.Lines(); n != c.Lines {
		list = append(list, fmt.Sprintf("the calibration was learned at %d lines and this is a capture of %d: hue and clamp of a device differ between them; learn it anew at %d lines", c.Lines, n, n))
	} else if q.Raster.Name != c.Raster {
		list = append(list, fmt.Sprintf("the calibration was learned at %s, and this is %s; a device may treat them differently", c.Raster, q.Raster.Name))
	}
	if q.Picture.Width != c.Width || q.Picture.Height != c.Height {
		list = append(list, fmt.Sprintf("the calibration was learned from a capture of %d x %d samples, and this one has %d x %d: its shift is not taken out", c.Width, c.Height, q.Picture.Width, q.Picture.Height))
	}
	if age := now.Sub(c.Made); age > old {
		list = append(list, fmt.Sprintf("the calibration is %.0f days old; devices drift, so learn it anew", age.Hours()/24))
	} else if age < -24*time.Hour {
		list = append(list, "the calibration was made in the future, says its date; set the clock")
	}
	return list
}
