package modeline

// descriptorSize is that of each of the four blocks of an EDID.
const descriptorSize = 18

// detailed is the descriptor of a mode for a picture of so many millimeters;
// offsets as in struct detailed_timing of the kernel's drm_edid.h.
func (m *Mode) detailed(width, height int) (d [descriptorSize]byte) {
	low := func(n int) byte { return byte(n) }
	// high packs bits 8 to 11 of two numbers.
	high := func(a, b int) byte { return byte(a>>8<<4 | b>>8) }
	h, v := m.H, m.V
	d[0], d[1] = low(m.Clock), byte(m.Clock>>8)
	d[2], d[3], d[4] = low(h.Active), low(h.Blank()), high(h.Active, h.Blank())
	d[5], d[6], d[7] = low(v.Active), low(v.Blank()), high(v.Active, v.Blank())
	d[8], d[9] = low(h.Front), low(h.Sync)
	d[10] = byte(v.Front&15<<4 | v.Sync&15)
	d[11] = byte(h.Front>>8<<6 | h.Sync>>8<<4 | v.Front>>4<<2 | v.Sync>>4)
	d[12], d[13], d[14] = low(width), low(height), high(width, height)
	// 15, 16: no borders.
	d[17] = 3 << 3 // separate syncs, both negative
	if m.Interlaced() {
		d[17] |= 1 << 7
	}
	return d
}

// rangeLimits says which rates may be sent: hertz, kilohertz, and the clock in
// steps of 10 MHz, rounded up.
func (e *Display) rangeLimits() (d [descriptorSize]byte) {
	low, high, clock := 255, 0, 0
	for _, m := range e.Modes {
		// A hertz to either side holds every raster of the system: 59.69 to
		// 60.10 Hz, and 49.92 to 50.08.
		nominal := 60
		if m.Raster.Scan.System.Lines() == 625 {
			nominal = 50
		}
		low, high, clock = min(low, nominal-1), max(high, nominal+1), max(clock, m.Clock)
	}
	copy(d[3:], []byte{0xfd, 0, byte(low), byte(high), minLine, maxLine, byte((clock + 999) / 1000), 0, '\n'})
	for i := 12; i < descriptorSize; i++ {
		d[i] = ' ' // no secondary formula: a line feed and spaces
	}
	return d
}

// The line rates of both systems, kHz.
const minLine, maxLine = 15, 16

// label is the descriptor with the display's name, which a line feed ends.
func label(name string) (d [descriptorSize]byte) {
	d[3] = 0xfc
	text := d[5:]
	n := copy(text, name)
	for i := n; i < len(text); i++ {
		text[i] = ' '
		if i == n {
			text[i] = '\n'
		}
	}
	return d
}

// empty is the descriptor that fills an unused place.
func empty() (d [descriptorSize]byte) {
	d[3] = 0x10
	return d
}
