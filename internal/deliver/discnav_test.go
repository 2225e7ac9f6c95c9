package deliver

import (
	"bytes"
	"context"
	"encoding/binary"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestDiscDamaged breaks one thing of a disc after the other; each must be
// named.
func TestDiscDamaged(t *testing.T) {
	if testing.Short() {
		t.Skip("encodes for some seconds")
	}
	d, whole := madeDisc(t, discRequest(filepath.Join(t.TempDir(), "disc"), "480i", "flat color=gray-50", "crosshatch"))
	folder := filepath.Join(d.Dir, "VIDEO_TS")
	read := func(name string) []byte {
		b, err := os.ReadFile(filepath.Join(folder, name))
		require.NoError(t, err)
		return b
	}
	manager, title := read("VIDEO_TS.IFO"), read("VTS_01_0.IFO")
	f := &ifo{title, -1}
	chain := f.table(0xcc) + int(f.u32(f.table(0xcc)+12))
	commands, cells := chain+int(f.u16(chain+0xe4)), chain+int(f.u16(chain+0xe8))
	first := commands + 8 + 8*int(f.u16(commands)+f.u16(commands+2))
	g := &ifo{manager, -1}
	play := int(g.u32(0x84))
	// The first command of the only chain of the menus whose table stands there.
	button := func(f *ifo, at int) int {
		unit := f.table(at) + int(f.u32(f.table(at)+12))
		chain := unit + int(f.u32(unit+12))
		return chain + int(f.u16(chain+0xe4)) + 8
	}
	for name, c := range map[string]struct {
		file  []byte
		at    int
		value byte
		want  string
	}{
		"first play goes elsewhere":    {manager, play + int(g.u16(play+0xe4)) + 8 + 5, 2, "first play"},
		"the title button elsewhere":   {manager, button(g, 0xc8) + 5, 2, "title button"},
		"the menu button elsewhere":    {title, button(f, 0xd0) + 5, 2, "menu button"},
		"a second title":               {manager, g.table(0xc4) + 1, 2, "titles"},
		"the loop plays another":       {title, first + 7, 2, "end of a program"},
		"the loop stops":               {title, first + 8, 0x30, "end of a program"},
		"a cell is held":               {title, cells + 2, 255, "end of a program"},
		"no command of a cell":         {title, cells + 24 + 3, 0, "end of a program"},
		"shorter":                      {title, cells + 4 + 2, 0x09, "shortest"},
		"a frame less":                 {title, cells + 4 + 3, 0xc1, "length"},
		"programs in another order":    {title, chain + int(f.u16(chain+0xe6)), 2, "next and previous"},
		"next leaves the chain":        {title, chain + 0x9d, 1, "links to other chains"},
		"a chapter is another program": {title, f.table(0xc8) + 12 + 3, 2, "chapters"},
		"625 lines":                    {title, 0x200, title[0x200] | 0x10, "video"},
		"16:9":                         {title, 0x200, title[0x200] | 0x0c, "video"},
		"352 samples":                  {title, 0x201, 0x08, "video"},
		"one channel":                  {title, 0x205, title[0x205] &^ 7, "sound"},
		"another coding of sound":      {title, 0x204, 0x84, "sound"},
		"no sound":                     {title, 0x203, 0, "sound"},
	} {
		t.Run(name, func(t *testing.T) {
			b := bytes.Clone(c.file)
			require.NotEqual(t, b[c.at], c.value, "nothing would change")
			b[c.at] = c.value
			m, err := readDiscManager(manager)
			if &c.file[0] == &manager[0] {
				m, err = readDiscManager(b)
			}
			require.NoError(t, err)
			ti, err := readDiscTitle(title)
			if &c.file[0] == &title[0] {
				ti, err = readDiscTitle(b)
			}
			require.NoError(t, err)
			p := &DiscProof{}
			d.navigation(p, m, ti)
			assert.Contains(t, p.Failed(), c.want)
		})
	}

	nav, err := readDiscTitle(title)
	require.NoError(t, err)
	video := read("VTS_01_1.VOB")
	picture := bytes.Index(video, []byte{0, 0, 1, codeVideo})
	second := int(nav.Cells[1].First) * discSector
	sound := second + bytes.Index(video[second:], []byte{0, 0, 1, codePrivate1})
	group := bytes.Index(video, []byte{0, 0, 1, codeGroup})
	pci := bytes.Index(video, []byte{0, 0, 1, codePrivate2})
	for name, c := range map[string]struct {
		at   int
		bits byte
		want string
	}{
		"nothing":              {-1, 0, ""},
		"a byte of video":      {picture + 600, 1, "video bytes"},
		"a byte of sound":      {sound + 600, 1, "sound bytes"},
		"a sector in the maps": {pci + 10, 1, "navigation packs"},
		"an open group":        {group + 7, 0x40, "groups of pictures"}, // closed_gop
	} {
		t.Run(name, func(t *testing.T) {
			b, dir := bytes.Clone(video), t.TempDir()
			if c.at >= 0 {
				b[c.at] ^= c.bits
			}
			require.NoError(t, os.WriteFile(filepath.Join(dir, "VTS_01_1.VOB"), b, 0o666))
			p := &DiscProof{Pictures: whole.Pictures}
			require.NoError(t, d.cells(context.Background(), p, dir, nav))
			if c.want == "" {
				assert.Empty(t, p.Failed())
				return
			}
			assert.Contains(t, p.Failed(), c.want)
		})
	}

	for _, n := range []int{0, 20, 0x100, 0x300, chain + 4, cells + 10} {
		_, err := readDiscTitle(title[:n])
		assert.Error(t, err, "cut at %d", n)
	}
}

func TestPacksRefused(t *testing.T) {
	pack := make([]byte, discSector)
	binary.BigEndian.PutUint32(pack, 0x100|codePack)
	pack[13] = 0xf8
	for name, c := range map[string]struct {
		change func(b []byte) []byte
		want   string
	}{
		"cut":                {func(b []byte) []byte { return b[:100] }, "unexpected EOF"},
		"no pack":            {func(b []byte) []byte { b[3] = 0; return b }, "not with the code of a pack"},
		"no packet":          {func(b []byte) []byte { return b }, "there is no packet at byte 14"},
		"runs over":          {func(b []byte) []byte { copy(b[14:], []byte{0, 0, 1, 0xbe, 0xff, 0xff}); return b }, "runs over its end"},
		"no room for a head": {func(b []byte) []byte { copy(b[14:], []byte{0, 0, 1, codeVideo, 0, 4, 0x80, 0, 9, 0}); return b }, "no room for its head"},
		"text":               {func(b []byte) []byte { copy(b[14:], []byte{0, 0, 1, codePrivate1, 0, 9, 0x80, 0, 0, 0x20}); return b }, "of a kind that is not wanted"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := readPacks(bytes.NewReader(c.change(bytes.Clone(pack))), 0)
			assert.ErrorContains(t, err, c.want)
		})
	}
}

// TestPacksPictures: heads of pictures and groups are found where packets cut
// them.
func TestPacksPictures(t *testing.T) {
	video := []byte{0, 0, 1, 0xb8, 0, 8, 0, 0x40, 0, 0, 1, 0, 0, 1 << 3, 9, 9, 0, 0, 1, 0, 0, 2 << 3, 0, 0, 1, 0xb8, 0, 8, 0, 0, 0, 0, 1, 0, 0, 1 << 3, 9, 9}
	for size := 1; size <= len(video); size++ {
		p := &packReader{}
		for at := 0; at < len(video); at += size {
			p.pictures(video[at:min(at+size, len(video))])
		}
		assert.Equal(t, []int{3, 2, 2, 1}, []int{p.Pictures, p.Intra, p.Groups, p.Closed}, "packets of %d bytes", size)
	}
}
