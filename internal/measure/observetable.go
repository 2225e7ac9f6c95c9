package measure

// The columns of a row, in the order of Faults:
//
//	levels  range-squeezed, range-stretched, matrix-709-decoded, matrix-709-encoded,
//	        setup-added, setup-missing, luma-gain, black-offset, chroma-gain,
//	        chroma-phase, chroma-swapped, gamma
//	order   rows-swapped, fields-late, chroma-fields
//	detail  sharpened, bandwidth, chroma-bandwidth, chroma-late
//	place   shape, shifted, shifted-y
//	cuts    quantized, below-black-cut, above-white-cut
//
// O is observable, w weak, a dot none. TestObserves holds every row to captures
// with each fault.
func seenRows() []seenRow {
	return []seenRow{
		//                 levels            order     detail     place     cuts
		{"one-to-one", "Ow..OOOO...w" + "O.." + "ww.." + "Oww" + ".OO"},
		{"flat", "O.....ww...." + "..." + "...." + "..." + "..."},
		{"bars-split-red", "OOOOOOwOOOOw" + "..." + ".wOO" + "..." + "w.."},
		{"crosshatch", "Ow..Ow.O...." + "O.." + "ww.." + "www" + "..."},
		{"dots", "Ow..Ow.O...." + "O.." + "ww.." + "www" + "w.."},
		{"crosshatch-dots", "Ow..Ow.O...." + "O.." + "ww.." + "www" + "..."},
		{"circles", "Ow..Ow.O...." + "O.." + "wO.." + "OOO" + "..."},
		{"safe-area", "OO..OOOO...O" + "O.." + "wO.." + "OOO" + "O.."},
		{"focus-field", "............" + "..." + "wO.." + "OOO" + "..."},
		{"pluge", "Ow..OO.O...w" + "..." + "...." + ".w." + "ww."},
		{"near-black", "Ow..OOwO...O" + "..." + "...." + "wOw" + "wO."},
		{"window", "Ow..OwOO...." + "..." + "wO.." + "OOO" + "..."},
		{"staircase", "OO..OOOO...O" + "..." + ".w.." + ".w." + "w.."},
		{"ramp", "OO..OOOO...O" + "..." + "...." + "..." + "O.."},
		{"streaking", "OO..OOOO...w" + "..." + "ww.." + "OOO" + "ww."},
		{"bars-full", "OOOOOOwOOOOw" + "..." + ".wOO" + ".w." + "w.."},
		{"bars-eia189", "OOOOOOOOOOOO" + "..." + "wwOO" + "ww." + "O.."},
		{"bars-eg1", "OOOOOOOOOOOO" + "..." + "wwOO" + "OOO" + "OO."},
		{"bars-rp219", "OOOOOOOOOOOO" + "..." + "wwOO" + "OOO" + "OO."},
		{"vectors", "OOOOOOwwOOOO" + "..." + "..ww" + "OwO" + "O.."},
		{"chroma-steps", "OOOOOOOOwOOO" + "..." + "..ww" + "ww." + "O.."},
		{"chroma-delay", "OOOOOOOOOOOO" + "..." + "wOOO" + "OOO" + "O.."},
		{"cross-color", "ww..wwww...w" + "O.." + "...." + "www" + "w.."},
		{"multiburst", "Ow..OOOO...w" + "..." + "OO.." + ".w." + "w.."},
		{"sweep", "ww..wwww...w" + "..." + "OO.." + "www" + "w.."},
		{"tv-lines", "............" + "O.." + "OO.." + "OOO" + "..."},
		{"line-pairs", "............" + "O.." + "OO.." + "OOO" + "..."},
		{"zone-plate", "............" + "O.." + "wO.." + "OOO" + "..."},
		{"pulse-bar", "Ow..OwOO...." + "..." + "wO.O" + ".w." + "..."},
		{"bounce", "............" + "..." + "...." + "..." + "..."},
		{"moving-bar", "OO..OOOO...w" + "ww." + "...." + "ww." + "..."},
		{"field-order", "Ow..Ow.O...." + "OO." + "...." + "OOO" + "..."},
		{"line-twitter", "Ow..Ow.O...." + "O.." + "ww.." + "OOO" + "..."},
		{"half-line", "OO..OOwO...w" + "w.." + "ww.." + "OOO" + "w.."},
		{"count", "Ow..OwOO...." + "OO." + "...." + "OOO" + "..."},
	}
}

// A seenRow is what one pattern shows.
type seenRow struct{ name, seen string }
