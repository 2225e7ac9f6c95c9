package composite

import (
	"math"

	"backporch/timing"
)

// A kernel is a symmetric low-pass filter: its middle tap, then those to each
// side. Their sum, all counted, is 1.
type kernel []float32

// newKernel is a sinc that is half down at about cutoff, both in the same
// unit, under a raised cosine that ends one sample beyond n taps to each side
// and falls to 1-2*dip there.
func newKernel(cutoff, rate float64, n int, dip float64) kernel {
	h := make([]float64, n+1)
	sum := 0.0
	for k := range h {
		x := 2 * cutoff / rate * float64(k)
		h[k] = 1 - dip + float64(dip*math.Cos(math.Pi*float64(k)/float64(n+1)))
		if k > 0 {
			h[k] *= math.Sin(math.Pi*x) / (math.Pi * x)
			sum += h[k]
		}
		sum += h[k]
	}
	out := make(kernel, len(h))
	for k := range h {
		out[k] = float32(h[k] / sum)
	}
	return out
}

// reach is how many samples to each side the kernel needs.
func (k kernel) reach() int { return len(k) - 1 }

// kernel returns the filter of a band for a system at 4 fsc; nil for none.
//
// Wide loses less than 2 dB at 1.3 MHz and more than 20 dB beyond 3.6 MHz (525
// lines) or 4 MHz (625): ITU-R BT.470-6 table 2 item 2.6, SMPTE 170M clause
// 7. Narrow loses less than 2 dB at 0.4 MHz, less than 6 dB at 0.5 MHz and
// more at 0.6 MHz, the Q channel of old encoders (memory).
func (b Band) kernel(s *timing.System) kernel {
	rate := 4 * s.Subcarrier.Float64() / 1e6
	switch {
	case b == Unlimited:
		return nil
	case b == Narrow:
		return newKernel(0.55, rate, int(2.2*rate), 0.5)
	case s == timing.System525:
		return newKernel(2.05, rate, wideReach, 0.4)
	default:
		return newKernel(2.2, rate, wideReach, 0.4)
	}
}

// wideReach is the reach of the wide filters, for which there is a faster loop.
const wideReach = 5

// axis filters every other sample of src, from the first on, into dst, with
// the signs of a carrier at four samples a cycle: dst[i] is the filtered
// src[i+reach] for i = 0, 4, 8 ... and minus it for i = 2, 6, 10 ... src is
// longer than dst by twice the reach.
func (k kernel) axis(dst, src []float32) {
	if k.reach() == wideReach {
		axis5(dst, src, (*[wideReach + 1]float32)(k))
		return
	}
	r := k.reach()
	for i := 0; i < len(dst); i += 2 {
		v := float32(k[0] * src[i+r])
		for j := 1; j <= r; j++ {
			v += float32(k[j] * (src[i+r-j] + src[i+r+j]))
		}
		if i&2 != 0 {
			v = -v
		}
		dst[i] = v
	}
}

func axis5(dst, src []float32, k *[wideReach + 1]float32) {
	k0, k1, k2, k3, k4, k5 := k[0], k[1], k[2], k[3], k[4], k[5]
	src = src[:len(dst)+2*wideReach]
	for i := 0; i < len(dst); i += 2 {
		w := (*[2*wideReach + 1]float32)(src[i:])
		dst[i] = float32(k0*w[5]) + float32(k1*(w[4]+w[6])) + float32(k2*(w[3]+w[7])) +
			float32(k3*(w[2]+w[8])) + (float32(k4*(w[1]+w[9])) + float32(k5*(w[0]+w[10])))
		k0, k1, k2, k3, k4, k5 = -k0, -k1, -k2, -k3, -k4, -k5
	}
}
