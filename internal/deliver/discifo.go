package deliver

import (
	"encoding/binary"
	"fmt"
)

// The navigation of a DVD-Video disc, read back from its IFO files. Offsets are
// those of the structures vmgi_mat_t, vtsi_mat_t, tt_srpt_t, pgcit_t, pgc_t and
// cell_playback_t in the public header ifo_types.h of libdvdread 6.1.3
// (secondary: an open library's account of the standard). All numbers are big
// endian; sectors have 2048 bytes.
const discSector = 2048

// discTitle is the only program chain of the only title set.
type discTitle struct {
	Video    [2]byte
	Audio    [][8]byte
	Chains   int
	Frames   int // of all cells
	Rate     int // frames that the disc counts in a second, 25 or 30 (for 29.97)
	Links    [3]uint16
	Still    byte
	Programs []byte // first cell of each
	Cells    []discCell
	Chapters [][2]uint16 // program chain and program of each
	Menu     []discCommand
	First    uint32 // sector of the first VOB, from the beginning of the IFO
	Last     uint32 // of the title set, from there
	Size     uint32 // last sector of the IFO
}

// discCell is a part of a program chain.
type discCell struct {
	Still       byte // seconds; 255 without end
	Frames      int
	First, Last uint32 // sectors of the title's VOBs together
	Command     discCommand
}

// discManager is what VIDEO_TS.IFO says.
type discManager struct {
	Sets, Titles, Chapters int
	FirstPlay, Menu        []discCommand
	Set                    uint32 // sector of the title set, from the beginning of the IFO
	Last, Size             uint32
}

// discCommand is an instruction of a player.
type discCommand [8]byte

// String is the instruction in words, of those that a disc of ours has
// (libdvdread 6.1.3 and libdvdnav 6.1.1, vmcmd.c and decoder.c: secondary).
func (c discCommand) String() string {
	switch binary.BigEndian.Uint16(c[:]) {
	case 0:
		return "nothing"
	case 0x2006:
		return fmt.Sprintf("play program %d", c[7]&0x7f)
	case 0x3001:
		return "stop"
	case 0x3002, 0x3003:
		return fmt.Sprintf("play title %d", c[5]&0x7f)
	}
	return fmt.Sprintf("%x", c[:])
}

// ifo reads numbers out of a file and keeps the first place that it has not.
type ifo struct {
	b   []byte
	bad int // place, or -1
}

func (f *ifo) bytes(at, n int) []byte {
	if at < 0 || at+n > len(f.b) {
		if f.bad < 0 {
			f.bad = at
		}
		return make([]byte, n)
	}
	return f.b[at : at+n]
}

func (f *ifo) u8(at int) byte    { return f.bytes(at, 1)[0] }
func (f *ifo) u16(at int) uint16 { return binary.BigEndian.Uint16(f.bytes(at, 2)) }
func (f *ifo) u32(at int) uint32 { return binary.BigEndian.Uint32(f.bytes(at, 4)) }

// table is the place of the table whose sector stands at a place.
func (f *ifo) table(at int) int { return int(f.u32(at)) * discSector }

func (f *ifo) err(name string) error {
	if f.bad >= 0 {
		return fmt.Errorf("%s ends before byte %d, where a table must be", name, f.bad)
	}
	return nil
}

// begins reports a file that does not begin with that word.
func (f *ifo) begins(name, word string) error {
	if string(f.bytes(0, len(word))) != word {
		return fmt.Errorf("%s does not begin with %s", name, word)
	}
	return nil
}

// time reads hours, minutes, seconds and frames in binary-coded decimals, and
// returns frames. A disc of 525 lines counts 30 in a second, and drops none, so
// that its clock is 0.1 % slow. Bits 7 and 6 of the last byte tell the rate: 1
// for 25, 3 for 30.
func (f *ifo) time(at int) (frames, rate int) {
	b := f.bytes(at, 4)
	bcd := func(v byte) int { return int(v>>4)*10 + int(v&15) }
	switch b[3] >> 6 {
	case 1:
		rate = 25
	case 3:
		rate = 30
	}
	return (bcd(b[0])*3600+bcd(b[1])*60+bcd(b[2]))*rate + bcd(b[3]&0x3f), rate
}

// commands reads the instructions of a program chain: before it, after it and
// of its cells.
func (f *ifo) commands(chain int) (lists [3][]discCommand) {
	offset := int(f.u16(chain + 0xe4))
	if offset == 0 {
		return lists
	}
	at := chain + offset + 8
	for i := range lists {
		for range f.u16(chain + offset + 2*i) {
			lists[i] = append(lists[i], discCommand(f.bytes(at, 8)))
			at += 8
		}
	}
	return lists
}

// menu returns what the chain does that a menu button calls: 2 the title
// button, 3 the root menu.
func (f *ifo) menu(table int, button byte) []discCommand {
	unit := table + int(f.u32(table+12))
	for i := range int(f.u16(unit)) {
		entry := unit + 8 + 8*i
		if f.u8(entry) == 0x80|button {
			return f.commands(unit + int(f.u32(entry+4)))[0]
		}
	}
	return nil
}

// readDiscManager reads VIDEO_TS.IFO.
func readDiscManager(b []byte) (*discManager, error) {
	const name = "VIDEO_TS.IFO"
	f := &ifo{b, -1}
	if err := f.begins(name, "DVDVIDEO-VMG"); err != nil {
		return nil, err
	}
	titles := f.table(0xc4)
	m := &discManager{
		Last: f.u32(0x0c), Size: f.u32(0x1c), Sets: int(f.u16(0x3e)),
		Titles: int(f.u16(titles)), Chapters: int(f.u16(titles + 10)), Set: f.u32(titles + 16),
		FirstPlay: f.commands(int(f.u32(0x84)))[0],
	}
	if menus := f.table(0xc8); menus != 0 {
		m.Menu = f.menu(menus, 2)
	}
	return m, f.err(name)
}

// readDiscTitle reads VTS_01_0.IFO.
func readDiscTitle(b []byte) (*discTitle, error) {
	const name = "VTS_01_0.IFO"
	f := &ifo{b, -1}
	if err := f.begins(name, "DVDVIDEO-VTS"); err != nil {
		return nil, err
	}
	chains := f.table(0xcc)
	c := chains + int(f.u32(chains+12))
	t := &discTitle{
		Last: f.u32(0x0c), Size: f.u32(0x1c), First: f.u32(0xc4),
		Video:  [2]byte(f.bytes(0x200, 2)),
		Chains: int(f.u16(chains)),
		Links:  [3]uint16{f.u16(c + 0x9c), f.u16(c + 0x9e), f.u16(c + 0xa0)},
		Still:  f.u8(c + 0xa3),
	}
	for i := range min(int(f.u16(0x202)), 8) {
		t.Audio = append(t.Audio, [8]byte(f.bytes(0x204+8*i, 8)))
	}
	t.Frames, t.Rate = f.time(c + 4)
	t.Programs = f.bytes(c+int(f.u16(c+0xe6)), int(f.u8(c+2)))
	commands := f.commands(c)[2]
	for i := range int(f.u8(c + 3)) {
		at := c + int(f.u16(c+0xe8)) + 24*i
		cell := discCell{Still: f.u8(at + 2), First: f.u32(at + 8), Last: f.u32(at + 20)}
		cell.Frames, _ = f.time(at + 4)
		if n := int(f.u8(at + 3)); n > 0 && n <= len(commands) {
			cell.Command = commands[n-1]
		}
		t.Cells = append(t.Cells, cell)
	}
	parts := f.table(0xc8)
	first, end := int(f.u32(parts+8)), int(f.u32(parts+4))+1
	for at := first; at+4 <= end && f.bad < 0; at += 4 {
		t.Chapters = append(t.Chapters, [2]uint16{f.u16(parts + at), f.u16(parts + at + 2)})
	}
	if menus := f.table(0xd0); menus != 0 {
		t.Menu = f.menu(menus, 3)
	}
	return t, f.err(name)
}
