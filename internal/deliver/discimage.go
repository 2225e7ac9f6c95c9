package deliver

import (
	"cmp"
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
)

// The image of a DVD-Video disc is a UDF bridge: one set of files that is
// listed twice, as ISO 9660 and as UDF 1.02 (secondary: libdvdread, which opens
// a disc by its UDF side alone). The IFO files tell by sectors, not by names,
// where their videos and copies begin, so that files lie where these say; an
// image of ISO 9660 alone, with files in the order of their names, holds the
// same bytes and is not played.

// discFile is a file of the disc in its place.
type discFile struct {
	Name   string // within VIDEO_TS
	Sector uint32
	Size   int64
}

func (f discFile) sectors() uint32 { return uint32((f.Size + discSector - 1) / discSector) }

// Sectors of an image. The data begin on a multiple of 16, a block of error
// correction (DVD: memory), on which the authoring program relies.
const (
	imageISO       = 16 // descriptors of ISO 9660, ECMA-119 6.2
	imageBridge    = 18 // and of the bridge, ECMA-167 2/8
	imageVolume    = 32 // descriptors of the UDF volume
	imageReserve   = 48 // and once more
	imageSequence  = 16 // the length of each, UDF 1.02, 2.2.3
	imageIntegrity = 64
	imagePathsL    = 66
	imagePathsM    = 67
	imageFolders   = 68  // of ISO 9660: root, AUDIO_TS, VIDEO_TS
	imageAnchor    = 256 // ECMA-167 3/8.4.2.1
	imagePart      = 257 // sector 0 of the UDF partition
	imageBlock     = 16
)

// discImage is all that an image is made of.
type discImage struct {
	Volume string // d-characters of ISO 9660, 32 at most
	Files  []discFile
	Total  uint32 // sectors
}

// placeImage reads the IFO files in the folder VIDEO_TS and puts all files
// where these want them.
func placeImage(folder, volume string) (*discImage, error) {
	im := &discImage{Volume: volume}
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, err
	}
	size := map[string]int64{}
	for _, e := range entries {
		info, err := e.Info()
		if err != nil {
			return nil, err
		}
		size[e.Name()] = info.Size()
	}
	manager, title, err := readNavigation(folder)
	if err != nil {
		return nil, err
	}
	nodes := uint32(8 + len(entries)) // of UDF: sets of files, folders, their lists, files
	first := (imagePart + nodes + imageBlock) / imageBlock * imageBlock
	copyAt := func(ifo string, at, last uint32) uint32 {
		return at + last + 1 - discFile{Size: size[ifo]}.sectors()
	}
	set := first + manager.Set
	place := map[string]uint32{
		"VIDEO_TS.IFO": first, "VIDEO_TS.BUP": copyAt("VIDEO_TS.IFO", first, manager.Last),
		"VTS_01_0.IFO": set, "VTS_01_0.BUP": copyAt("VTS_01_0.IFO", set, title.Last),
	}
	at := set + title.First
	for i := 1; i <= 9; i++ {
		name := fmt.Sprintf("VTS_01_%d.VOB", i)
		if _, ok := size[name]; ok {
			place[name] = at
			at += discFile{Size: size[name]}.sectors()
		}
	}
	for name, n := range size {
		sector, ok := place[name]
		if !ok {
			return nil, fmt.Errorf("%s is no file of a disc with one title", name)
		}
		im.Files = append(im.Files, discFile{name, sector, n})
	}
	for name := range place {
		if _, ok := size[name]; !ok {
			return nil, fmt.Errorf("%s was not made", name)
		}
	}
	slices.SortFunc(im.Files, func(a, b discFile) int { return cmp.Compare(a.Sector, b.Sector) })
	for i, f := range im.Files {
		if i > 0 && im.Files[i-1].Sector+im.Files[i-1].sectors() > f.Sector {
			return nil, fmt.Errorf("%s would lie over %s", f.Name, im.Files[i-1].Name)
		}
	}
	last := im.Files[len(im.Files)-1]
	im.Total = (last.Sector+last.sectors()+1+imageBlock-1)/imageBlock*imageBlock + imageRunOut
	return im, nil
}

// imageRunOut is how many empty sectors follow, since drives read ahead
// (common practice: 150, two seconds of a CD, here a multiple of 16).
const imageRunOut = 160

// byName lists the files in the order of their names, which ISO 9660 wants.
func (im *discImage) byName() []discFile {
	list := slices.Clone(im.Files)
	slices.SortFunc(list, func(a, b discFile) int { return cmp.Compare(a.Name, b.Name) })
	return list
}

// write writes the image of the files in that folder.
func (im *discImage) write(ctx context.Context, w io.Writer, folder string) error {
	sectors := im.iso()
	for at, b := range im.udf() {
		sectors[at] = b
	}
	empty := make([]byte, discSector)
	next := uint32(0)
	fill := func(to uint32) error {
		for ; next < to; next++ {
			b := empty
			if s, ok := sectors[next]; ok {
				b = append(s, empty[len(s):]...)
			}
			if _, err := w.Write(b); err != nil {
				return err
			}
		}
		return nil
	}
	for _, f := range im.Files {
		if err := fill(f.Sector); err != nil {
			return err
		}
		if err := copySectors(ctx, w, filepath.Join(folder, f.Name), f.Size); err != nil {
			return err
		}
		next += f.sectors()
	}
	return fill(im.Total)
}

// copySectors copies a file of that size, filled up to whole sectors.
func copySectors(ctx context.Context, w io.Writer, path string, size int64) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	buf := make([]byte, 512*discSector)
	for size > 0 {
		if err := ctx.Err(); err != nil {
			return context.Cause(ctx)
		}
		n := int(min(size, int64(len(buf))))
		if _, err := io.ReadFull(f, buf[:n]); err != nil {
			return err
		}
		whole := (n + discSector - 1) / discSector * discSector
		clear(buf[n:whole])
		if _, err := w.Write(buf[:whole]); err != nil {
			return err
		}
		size -= int64(n)
	}
	return nil
}

// iso returns the sectors of the ISO 9660 side (ECMA-119, 2nd edition, clauses
// 6.8, 8.3, 8.4, 9.1, 9.4: memory).
func (im *discImage) iso() map[uint32][]byte {
	folders := []string{"", "AUDIO_TS", "VIDEO_TS"}
	pathsL, pathsM := isoPaths(folders, binary.LittleEndian), isoPaths(folders, binary.BigEndian)

	b := make([]byte, discSector)
	copy(b, "\x01CD001\x01")
	for _, field := range [][2]int{{8, 32}, {40, 32}, {190, 128}, {318, 128}, {446, 128}, {574, 128}, {702, 37}, {739, 37}, {776, 37}} {
		for i := range field[1] {
			b[field[0]+i] = ' '
		}
	}
	copy(b[40:72], im.Volume)
	copy(b[574:], discMaker)
	both32(b[80:], im.Total)
	both16(b[120:], 1)
	both16(b[124:], 1)
	both16(b[128:], discSector)
	both32(b[132:], uint32(len(pathsL)))
	binary.LittleEndian.PutUint32(b[140:], imagePathsL)
	binary.BigEndian.PutUint32(b[148:], imagePathsM)
	copy(b[156:], isoRecord("\x00", imageFolders, discSector, true))
	for i, at := range []int{813, 830, 847, 864} {
		copy(b[at:], "0000000000000000")
		if i < 2 {
			copy(b[at:], discDate+"00000000")
		}
	}
	b[881] = 1

	sectors := map[uint32][]byte{
		imageISO: b, imageISO + 1: []byte("\xffCD001\x01"),
		imagePathsL: pathsL, imagePathsM: pathsM,
	}
	for i := range folders {
		at := uint32(imageFolders + i)
		list := append(isoRecord("\x00", at, discSector, true), isoRecord("\x01", imageFolders, discSector, true)...)
		switch i {
		case 0:
			list = append(list, isoRecord("AUDIO_TS", imageFolders+1, discSector, true)...)
			list = append(list, isoRecord("VIDEO_TS", imageFolders+2, discSector, true)...)
		case 2:
			for _, f := range im.byName() {
				list = append(list, isoRecord(f.Name+";1", f.Sector, uint32(f.Size), false)...)
			}
		}
		sectors[at] = list
	}
	return sectors
}

// discDate is the date of everything on a disc, so that the same request gives
// the same bytes; discMaker what made it.
const (
	discDate  = "20000101"
	discMaker = "BACKPORCH"
)

func both16(b []byte, v uint16) {
	binary.LittleEndian.PutUint16(b, v)
	binary.BigEndian.PutUint16(b[2:], v)
}

func both32(b []byte, v uint32) {
	binary.LittleEndian.PutUint32(b, v)
	binary.BigEndian.PutUint32(b[4:], v)
}

// isoRecord is an entry of a folder.
func isoRecord(name string, sector, size uint32, folder bool) []byte {
	b := make([]byte, 33, 34+len(name))
	both32(b[2:], sector)
	both32(b[10:], size)
	copy(b[18:], []byte{100, 1, 1}) // 1900 + 100, January 1
	if folder {
		b[25] = 2
	}
	both16(b[28:], 1)
	b[32] = byte(len(name))
	b = append(b, name...)
	if len(b)%2 == 1 {
		b = append(b, 0)
	}
	b[0] = byte(len(b))
	return b
}

// isoPaths is a path table: folders below the root, which is the first.
func isoPaths(folders []string, order binary.AppendByteOrder) (b []byte) {
	for i, name := range folders {
		if name == "" {
			name = "\x00"
		}
		b = append(b, byte(len(name)), 0)
		b = order.AppendUint32(b, uint32(imageFolders+i))
		b = order.AppendUint16(b, 1)
		b = append(b, name...)
		if len(name)%2 == 1 {
			b = append(b, 0)
		}
	}
	return b
}
