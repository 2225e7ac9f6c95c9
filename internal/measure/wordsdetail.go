package measure

import (
	"fmt"
	"math"
)

// wordsOfDetail are those of faults in detail, order and place.
func wordsOfDetail(f *Finding, out *Result, q *Request) string {
	v := f.Value
	switch f.Fault {
	case RowsSwapped:
		return "Rows are exchanged in pairs: the two fields stand in each other's lines, and slanted edges show teeth. Exchange the fields where the picture is woven, or look for a shift by one line."
	case FieldsLate:
		return "The newer field of each frame is shown first, so movement jumps back and forth. Set the field order of the file, or of the player, to that of the raster."
	case ChromaFields:
		return "Chroma of the two fields is mixed: the picture was converted to or from 4:2:0 as if it were not interlaced. Make the file with interlaced chroma, or tell the player that it is interlaced."
	case Sharpened:
		at := ""
		if _, mhz, ok := rise(out.Luma, math.Inf(1)); ok {
			at = fmt.Sprintf(", most near %.1f MHz", mhz)
		}
		return fmt.Sprintf("Detail is sharpened: the response of luma rises by %.0f %%%s. Turn off sharpness, detail or aperture correction in the player and in the capture device.", v, at)
	case Bandwidth:
		return fmt.Sprintf("Fine detail of luma is lost: the response is down by 3 dB at %.2f MHz%s. Use a better connection (Y/C or component in the place of composite), and look for a noise filter or for scaling.", v, sixDB(out.Luma))
	case ChromaBandwidth:
		return fmt.Sprintf("Fine detail of color is lost: its response is down by 3 dB at %.2f MHz%s. A composite or Y/C connection does that to about 1.3 MHz; component keeps more.", v, sixDB(out.Chroma))
	case ChromaLate:
		return fmt.Sprintf("Color comes %.0f ns %s than luma, which is %.1f samples of BT.601. Look for a Y/C delay setting, or for chroma that was sited between samples.", math.Abs(v), either(v, "later", "earlier"), math.Abs(v)*13.5e-3)
	case Shape:
		return fmt.Sprintf("The picture is %.1f %% too %s for its height. Look for a wrong pixel shape or aspect setting, or for scaling that took cropped samples for the whole line.", math.Abs(v), either(v, "wide", "narrow"))
	case Shifted:
		us := math.Abs(v) / (math.Abs(out.Place.DX) * q.Raster.Scan.System.HeightsPerMicrosecond().Float64())
		return fmt.Sprintf("The picture lies %.1f samples (%.2f us) too far %s. Look for the horizontal position of the player, and for samples cropped on one side.", math.Abs(v), us, either(v, "right", "left"))
	case ShiftedY:
		return fmt.Sprintf("The picture lies %.1f rows too far %s. Look for the vertical position of the player; a shift by an odd number of rows exchanges the fields.", math.Abs(v), either(v, "down", "up"))
	}
	return f.Fault.Title()
}

func either(v float64, positive, negative string) string {
	if v < 0 {
		return negative
	}
	return positive
}

// sixDB adds where the response is down by 6 dB.
func sixDB(list []Response) string {
	if mhz, _, ok := crossing(list, 0.5); ok {
		return fmt.Sprintf(", by 6 dB at %.2f MHz", mhz)
	}
	return ""
}
