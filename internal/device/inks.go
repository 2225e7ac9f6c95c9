package device

import (
	"math"

	"backporch/colorimetry"
)

// The rules by which the fixed palettes of the built-in devices are made; they
// are our own, and stand for devices that make a color as a level and a phase
// of the subcarrier.
const (
	ruleOf16  = "0 to 3 are grays of 0, 33.3, 66.7 and 100 %; 4 to 15 are 12 hues of 50 % luma and 40 % chroma, 30 degrees apart from 15 on"
	ruleOf128 = "the number is 8 hue + luma: luma in seven steps of 14.3 %; hue 0 gray, 1 to 15 of 40 % chroma, 24 degrees apart from 0 on"
)

// InkOf returns the color of a luma in per cent of white above black, a chroma in
// per cent of the same, peak to peak, and a phase in degrees from +(B'-Y'), on a
// composite wire.
func InkOf(f *colorimetry.Family, luma, chroma, degrees float64) Ink {
	u1, _ := f.Vector(colorimetry.Signal{CB: 1})
	_, v1 := f.Vector(colorimetry.Signal{CR: 1})
	amplitude := chroma / 100 / 2 * float64(f.White-f.Black)
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	s := colorimetry.Signal{Y: luma / 100}
	if chroma != 0 {
		s.CB, s.CR = amplitude*cos/float64(u1), amplitude*sin/float64(v1)
	}
	return inkOfSignal(s)
}

// inkOfSignal adds the nearest color of a picture file.
func inkOfSignal(s colorimetry.Signal) Ink {
	c := colorimetry.RGB8.Codes(s)
	return Ink{s, [3]uint8{uint8(c[0]), uint8(c[1]), uint8(c[2])}}
}

// InkOfRGB returns the color of three codes of 8 bits.
func InkOfRGB(c [3]uint8) Ink {
	return Ink{colorimetry.RGB8.Signal([3]uint16{uint16(c[0]), uint16(c[1]), uint16(c[2])}), c}
}

func palette16(f *colorimetry.Family) (list []Ink) {
	for i := range 4 {
		list = append(list, InkOf(f, 100*float64(i)/3, 0, 0))
	}
	for i := range 12 {
		list = append(list, InkOf(f, 50, 40, 15+30*float64(i)))
	}
	return list
}

func palette128(f *colorimetry.Family) (list []Ink) {
	for hue := range 16 {
		for luma := range 8 {
			chroma := 40.0
			if hue == 0 {
				chroma = 0
			}
			list = append(list, InkOf(f, 100*float64(luma)/7, chroma, 24*float64(hue-1)))
		}
	}
	return list
}
