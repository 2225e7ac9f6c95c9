package measure

import (
	"fmt"
	"math"
)

// words says what is wrong, by how much, and what may cause it.
func words(f *Finding, out *Result, q *Request) string {
	v := f.Value
	switch f.Fault {
	case RangeSqueezed:
		return "Limited range was taken for full range and squeezed once more: black comes at 6.3 % and white at 92.2 %. Tell the player that the file is of limited (studio, 16 to 235) range, and set its output and what follows to the same range."
	case RangeStretched:
		return "Full range was taken for limited range and stretched: black lies 7.3 % too low and white 9.1 % too high, and what lies beyond is lost. Set the player's output to limited (studio, 16 to 235) range, or to the range that what follows expects."
	case Decoded709:
		return "Color was decoded by the matrix of BT.709, but this picture is of BT.601: reds are too bright and too orange, greens too dark. Tag the file as BT.601 (SMPTE 170M or BT.470 B, G), or set the player to standard-definition color."
	case Encoded709:
		return "Color was encoded by the matrix of BT.709, but is read by that of BT.601: greens are too bright, reds too dark. Set the player's output, or the converter behind it, to standard-definition color (BT.601)."
	case SetupAdded:
		return "Setup was added: black comes at 7.5 IRE and all else is 0.925 of itself. Switch the player's setup (pedestal) off, or tell the capture device to expect 7.5 IRE; if the wire is meant to have setup, say so when you check."
	case SetupMissing:
		return "Setup was taken off that was not there: black comes 8.1 % too low, and all else is 1.081 of itself. Switch the player's setup (pedestal) on, or tell the capture device to expect none."
	case LumaGain:
		return fmt.Sprintf("Luma is %s: everything from black up, color included, is %.3f of what it must be. Look for a contrast or picture control that is not neutral, a missing or second 75 ohm termination, or gain control in the capture device.", tooMuch(v, "high", "low"), 1+v/100)
	case BlackOffset:
		way := "high"
		if v < 0 {
			way = "low"
		}
		return fmt.Sprintf("All luma lies %.1f %% of white too %s, black as well as white. Look for a brightness or black-level control that is not neutral, or for the clamp of the capture device.", math.Abs(v), way)
	case ChromaGain:
		return fmt.Sprintf("Color is %s, besides the gain of luma. Look for a saturation or color control that is not neutral, for automatic chroma gain, or for a cable that loses the subcarrier.", tooMuch(v, "strong", "weak"))
	case ChromaPhase:
		way := "counterclockwise on a vectorscope, from +(B-Y) toward +(R-Y)"
		if v < 0 {
			way = "clockwise on a vectorscope, from +(R-Y) toward +(B-Y)"
		}
		return fmt.Sprintf("Hues are turned by %.1f degrees %s. Look for a tint or hue control that is not neutral, in the player or in the capture device.", math.Abs(v), way)
	case ChromaSwapped:
		return "CB and CR are exchanged: red and blue have changed places. Exchange the PB and PR cables, or the order of the color planes in the file (U and V)."
	case Gamma:
		way := "darker"
		if v < 1 {
			way = "brighter"
		}
		return fmt.Sprintf("Gamma is altered: grays between black and white are %s, as by an exponent of %.2f (half white comes at %.1f %%). Look for a gamma, brightness or dynamic picture mode that is not off.", way, v, 100*math.Pow(0.5, v))
	case Quantized:
		n := max(1, int(math.Round(v)))
		return fmt.Sprintf("Colors are coarse: R', G' and B' have only about %d bits each, so a ramp shows %d steps. Set the player's or the desktop's color depth to 8 bits a component.", n, 1<<n)
	case BelowBlackCut:
		return "Levels below black are lost: what must lie below comes at black, and the lower step of PLUGE cannot be seen through this player. Set its output to limited range, or use a path that keeps codes 1 to 15."
	case AboveWhiteCut:
		return "Levels above white are lost: what must lie above comes at white. Set the player's output to limited range, or use a path that keeps codes 236 to 254."
	}
	return wordsOfDetail(f, out, q)
}

// tooMuch is "4.2 % too high".
func tooMuch(v float64, high, low string) string {
	way := high
	if v < 0 {
		way = low
	}
	return fmt.Sprintf("%.1f %% too %s", math.Abs(v), way)
}
