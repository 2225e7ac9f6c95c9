package deliver

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"strings"
)

// readNavigation reads both IFO files in the folder VIDEO_TS.
func readNavigation(folder string) (*discManager, *discTitle, error) {
	b, err := os.ReadFile(filepath.Join(folder, "VIDEO_TS.IFO"))
	if err != nil {
		return nil, nil, err
	}
	m, err := readDiscManager(b)
	if err != nil {
		return nil, nil, err
	}
	if b, err = os.ReadFile(filepath.Join(folder, "VTS_01_0.IFO")); err != nil {
		return nil, nil, err
	}
	t, err := readDiscTitle(b)
	return m, t, err
}

// imageEntry is a file that an image lists.
type imageEntry struct {
	Sector uint32
	Size   int64
}

// imageReader reads whole sectors and keeps the first error.
type imageReader struct {
	r   io.ReaderAt
	err error
}

func (r *imageReader) read(sector uint32, size int) []byte {
	b := make([]byte, size)
	if r.err == nil {
		if _, err := r.r.ReadAt(b, int64(sector)*discSector); err != nil && (err != io.EOF || size > 0) {
			r.err = fmt.Errorf("sector %d: %w", sector, err)
		}
	}
	return b
}

// maxListing bounds what is read of a folder, bytes.
const maxListing = 1 << 20

// readISO lists the files of an image by its ISO 9660 side, and its name.
func readISO(image io.ReaderAt) (files map[string]imageEntry, volume string, err error) {
	r := &imageReader{r: image}
	b := r.read(imageISO, discSector)
	if !bytes.HasPrefix(b, []byte("\x01CD001")) {
		return nil, "", errors.New("there is no ISO 9660 volume at sector 16")
	}
	volume = strings.TrimRight(string(b[40:72]), " ")
	files = map[string]imageEntry{}
	var list func(record []byte, name string, depth int)
	list = func(record []byte, name string, depth int) {
		b := r.read(binary.LittleEndian.Uint32(record[2:]), int(min(binary.LittleEndian.Uint32(record[10:]), maxListing)))
		for len(b) > 33 && b[0] > 33 && int(b[0]) <= len(b) && r.err == nil {
			rec := b[:b[0]]
			b = b[b[0]:]
			id := string(rec[33:min(len(rec), 33+int(rec[32]))])
			if id == "\x00" || id == "\x01" {
				continue
			}
			at := path.Join(name, strings.TrimSuffix(id, ";1"))
			if rec[25]&2 != 0 {
				files[at+"/"] = imageEntry{}
				if depth < 8 {
					list(rec, at, depth+1)
				}
				continue
			}
			files[at] = imageEntry{binary.LittleEndian.Uint32(rec[2:]), int64(binary.LittleEndian.Uint32(rec[10:]))}
		}
	}
	list(b[156:190], "", 0)
	return files, volume, r.err
}

// readUDF lists the files of an image by its UDF side, and its name.
func readUDF(image io.ReaderAt) (files map[string]imageEntry, volume string, err error) {
	r := &udfReader{imageReader: imageReader{r: image}, files: map[string]imageEntry{}}
	marks := ""
	for at := uint32(imageISO); at < 32; at++ {
		if b := r.read(at, discSector); bytes.HasPrefix(b, []byte("\x00BEA01")) || bytes.HasPrefix(b, []byte("\x00NSR02")) || bytes.HasPrefix(b, []byte("\x00TEA01")) {
			marks += string(b[1:6])
		}
	}
	if marks != "BEA01NSR02TEA01" {
		return nil, "", errors.New("there is no UDF volume beside the one of ISO 9660")
	}
	anchor := r.descriptor(imageAnchor, imageAnchor, tagAnchor)
	var root, rootLength uint32
	for i := range u32(anchor, 16) / discSector {
		at := u32(anchor, 20) + i
		switch b := r.read(at, discSector); binary.LittleEndian.Uint16(b) {
		case tagPartition:
			r.part = u32(r.descriptor(at, at, tagPartition), 188)
		case tagLogical:
			d := r.descriptor(at, at, tagLogical)
			rootLength, root = u32(d, 248), u32(d, 252)
			volume = string(d[85 : 85+max(0, min(int(d[211])-1, 126))])
		}
		if r.err != nil {
			return nil, "", r.err
		}
	}
	if r.part == 0 || rootLength == 0 {
		return nil, "", errors.New("the UDF volume has no partition with files")
	}
	set := r.descriptor(r.part+root, root, tagFileSet)
	r.list(u32(set, 404), "", 0)
	return r.files, volume, r.err
}

type udfReader struct {
	imageReader
	part  uint32
	files map[string]imageEntry
}

func u32(b []byte, at int) uint32 { return binary.LittleEndian.Uint32(b[at:]) }

// descriptor reads one and checks its tag.
func (r *udfReader) descriptor(sector, place uint32, tag uint16) []byte {
	b := r.read(sector, discSector)
	r.check(b, sector, place, tag)
	return b
}

func (r *udfReader) check(b []byte, sector, place uint32, tag uint16) {
	if r.err != nil {
		return
	}
	length := int(binary.LittleEndian.Uint16(b[10:]))
	switch got := binary.LittleEndian.Uint16(b); {
	case got != tag:
		r.err = fmt.Errorf("sector %d: a UDF descriptor %d where %d is due", sector, got, tag)
	case b[4] != tagSum(b) || 16+length > len(b) || binary.LittleEndian.Uint16(b[8:]) != crc16(b[16:16+length]):
		r.err = fmt.Errorf("sector %d: the sums of the UDF descriptor %d are wrong", sector, got)
	case u32(b, 12) != place:
		r.err = fmt.Errorf("sector %d: the UDF descriptor says that it lies at %d", sector, u32(b, 12))
	}
}

// extent reads the entry of a file or folder: where its bytes are.
func (r *udfReader) extent(block uint32) (e imageEntry) {
	d := r.descriptor(r.part+block, block, tagFileEntry)
	at := 176 + int(u32(d, 168))
	if r.err != nil || at+8 > len(d) || u32(d, 172) != 8 || d[34]&7 != 0 {
		if r.err == nil {
			r.err = fmt.Errorf("block %d: the file is not in one piece", block)
		}
		return e
	}
	return imageEntry{r.part + u32(d, at+4), int64(binary.LittleEndian.Uint64(d[56:]))}
}

// list reads the folder whose entry is at a block.
func (r *udfReader) list(block uint32, name string, depth int) {
	e := r.extent(block)
	b := r.read(e.Sector, int(min(e.Size, maxListing)))
	for len(b) >= 38 && r.err == nil && depth < 8 {
		n, use := int(b[19]), int(binary.LittleEndian.Uint16(b[36:]))
		size := (38 + n + use + 3) / 4 * 4
		if size > len(b) {
			r.err = fmt.Errorf("the list of %q ends in the middle of an entry", name)
			return
		}
		id := b[:size]
		b = b[size:]
		r.check(id, e.Sector, e.Sector-r.part, tagFileIdent)
		if id[18]&8 != 0 || n < 2 {
			continue // the folder above
		}
		at := path.Join(name, string(id[38+use+1:38+use+n]))
		if id[18]&2 != 0 {
			r.files[at+"/"] = imageEntry{}
			r.list(u32(id, 24), at, depth+1)
			continue
		}
		r.files[at] = r.extent(u32(id, 24))
	}
}
