package crosscheck

import (
	"bytes"
	"image"
	"image/png"
	"math"
	"slices"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/internal/device"
	"backporch/internal/format"
	"backporch/internal/readings"
	"backporch/internal/render"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/bmp"
)

// deviceProbes are what every device is tried with: flat colors, a round shape
// and gray steps. Each is within what full-range R'G'B' holds.
var deviceProbes = []string{"bars-full", "circles", "staircase"}

// pixelDevices are the built-in devices that show pixels of their own: in short
// runs, which look for races, one of each kind.
func pixelDevices() (list []*device.Profile) {
	some := []string{"computer-720-525", "pixel-320", "palette-16-625"}
	for _, d := range device.Builtin() {
		if d.Pixels() && (!testing.Short() || slices.Contains(some, d.Name)) {
			list = append(list, d)
		}
	}
	return list
}

// forDevice lays a pattern out for a device on its usual raster and output, as
// the command line does.
func forDevice(t testing.TB, d *device.Profile, spec, name string) *render.Job {
	t.Helper()
	p, err := pattern.Parse(spec)
	require.NoError(t, err)
	f, err := format.Resolve(format.Choice{Name: name})
	require.NoError(t, err)
	q := render.Request{Pattern: p, Spec: spec, Raster: d.Rasters[0], Edges: d.Edges(), Aspect: timing.R(4, 3), Device: d,
		Plan: colorimetry.Plan{Wire: d.Outputs[0], Player: d.Outputs[0]}, Format: f, Frames: 1}
	j, err := q.Layout()
	require.NoError(t, err, "%s for %s", spec, d.Name)
	return j
}

// TestDeviceFiles decodes the pictures for every device by the decoders of the
// image packages: every pixel is the color of the palette that was chosen for
// it, and a palette of the file has the device's order.
func TestDeviceFiles(t *testing.T) {
	for _, d := range pixelDevices() {
		for _, name := range []string{"png", "bmp", "bmp24"} {
			if !slices.Contains(d.Formats, name) {
				continue
			}
			for _, spec := range deviceProbes {
				j := forDevice(t, d, spec, name)
				x, err := j.Indexed(0)
				require.NoError(t, err)
				decode := png.Decode
				if name != "png" {
					decode = bmp.Decode
				}
				m, err := decode(bytes.NewReader(file(t, j)))
				require.NoError(t, err, "%s for %s", spec, d.Name)
				require.Equal(t, image.Rect(0, 0, d.Rasters[0].Width, d.Rasters[0].Height()), m.Bounds(), d.Name)
				for y, n := range x.Lines {
					for i, k := range x.Rows[n] {
						r, g, b, _ := m.At(i, y).RGBA()
						if got := [3]uint8{uint8(r >> 8), uint8(g >> 8), uint8(b >> 8)}; got != x.Palette[k] {
							t.Fatalf("%s for %s: pixel %d, %d is %v, want %v", spec, d.Name, i, y, got, x.Palette[k])
						}
					}
				}
				if p, ok := m.(*image.Paletted); ok {
					for k, c := range x.Palette {
						r, g, b, _ := p.Palette[k].RGBA()
						require.Equal(t, c, [3]uint8{uint8(r >> 8), uint8(g >> 8), uint8(b >> 8)}, "%s: color %d of the palette", d.Name, k)
					}
				}
			}
		}
	}
}

// TestDeviceOnWire measures the bars of every pixel device on the samples of
// its composite output, and holds luma, amplitude and phase to the equation
// (SMPTE 170M-2004 clause 10; ITU-R BT.470-6 items 2.5 and 2.9) for the color
// that the device has for the bar: levels k of 2^n-1, by arithmetic.
func TestDeviceOnWire(t *testing.T) {
	for _, d := range pixelDevices() {
		wire := usualComposite(d)
		if wire == nil || d.Color.Fixed != nil {
			continue
		}
		j := forDevice(t, d, "bars-full", d.Formats[0])
		j.Plan = colorimetry.Plan{Wire: wire.Family, Player: wire.Family}
		scan := j.Raster.Scan
		base := wire.Timebase(scan)
		tapes := record(t, wire.Name, scan, composite.Standard, 1, func(r *timing.Raster) *frame.Frame {
			f, err := j.Carried(r, 0)
			require.NoError(t, err)
			return f
		})
		line := float64(j.Raster.Lines[j.Raster.Height()/2].Number - 1)
		for _, p := range j.Scene.Patches {
			want := readings.On(wire.Family, colorimetry.FromRGB(onDAC(d, p.Want)))
			middle := line*base.Scan.LinePeriod().Float64() + timeOf(j.Raster, (p.X0+p.X1)/2)
			half := (p.X1 - p.X0) / 2 / j.Raster.Scan.System.HeightsPerMicrosecond().Float64()
			from, to := middle-half/3, middle+half/3
			got := tapes[0].tone(from, to, fscOf(scan))
			assert.InDelta(t, float64(want.Luma), got.dc, 0.5, "%s, %s: luma, mV", d.Name, p.Name)
			assert.InDelta(t, float64(want.Chroma), 2*got.amplitude, 1.5, "%s, %s: chroma, mV", d.Name, p.Name)
			if want.Chroma > 1 {
				degrees := got.degrees
				if scan.System == timing.System625 && math.Abs(apart(want.Degrees, degrees)) > 90 {
					degrees = 360 - degrees
				}
				assert.InDelta(t, 0, apart(want.Degrees, degrees), 0.3, "%s, %s: phase", d.Name, p.Name)
			}
		}
	}
}

// onDAC returns the nearest level of each channel of a device's converter.
// Bars have two levels of R', G' and B', which are the same in all channels
// unless these have different bits.
func onDAC(d *device.Profile, s colorimetry.Signal) (r, g, b float64) {
	var v [3]float64
	v[0], v[1], v[2] = s.RGB()
	for i := range v {
		top := float64(int(1)<<d.Color.Bits[i] - 1)
		v[i] = math.Round(v[i]*top) / top
	}
	return v[0], v[1], v[2]
}

// timeOf returns when a place passes, us after 0H.
func timeOf(r *timing.Raster, x float64) float64 {
	s := r.Scan.System
	middle := s.Left.Add(s.Right).Div(timing.Int(2)).Float64()
	return middle + x/s.HeightsPerMicrosecond().Float64()
}

func usualComposite(d *device.Profile) *composite.Wire {
	for _, f := range d.Outputs {
		if f.Interface == colorimetry.Composite {
			return composite.Lookup(f.Name)
		}
	}
	return nil
}
