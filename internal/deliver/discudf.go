package deliver

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
)

// The UDF side of an image: OSTA UDF 1.02 on ECMA-167, 2nd edition (both
// memory, held against what libdvdread 6.1.3 reads). Clauses are those of
// ECMA-167.

// Tags of descriptors, 3/7.2.1 and 4/7.2.1.
const (
	tagPrimary    = 1
	tagAnchor     = 2
	tagUse        = 4
	tagPartition  = 5
	tagLogical    = 6
	tagFreeSpace  = 7
	tagTerminator = 8
	tagIntegrity  = 9
	tagFileSet    = 256
	tagFileIdent  = 257
	tagFileEntry  = 261
)

// Blocks of the partition.
const (
	udfFileSet = 0
	udfFolders = 2 // root, AUDIO_TS, VIDEO_TS: each an entry and its list
	udfFiles   = 8
)

// udfRevision is 1.02 in binary-coded decimals.
const udfRevision = 0x0102

// descriptor is a descriptor being filled in.
type descriptor []byte

func newDescriptor(tag uint16, size int) descriptor {
	d := make(descriptor, size)
	d.u16(0, tag)
	d.u16(2, 2) // of ECMA-167, 2nd edition
	return d
}

func (d descriptor) u16(at int, v uint16) { binary.LittleEndian.PutUint16(d[at:], v) }
func (d descriptor) u32(at int, v uint32) { binary.LittleEndian.PutUint32(d[at:], v) }

// extent is an extent_ad, 3/7.1: length in bytes and place.
func (d descriptor) extent(at int, length, sector uint32) {
	d.u32(at, length)
	d.u32(at+4, sector)
}

// charset is the OSTA character set, UDF 2.1.2.
func (d descriptor) charset(at int) { copy(d[at+1:], "OSTA Compressed Unicode") }

// text is a dstring of 8-bit characters in a field of that size, UDF 2.1.3.
func (d descriptor) text(at, size int, s string) {
	d[at] = 8
	copy(d[at+1:at+size-1], s)
	d[at+size-1] = byte(len(s) + 1)
}

// maker is the identifier of what wrote the image, UDF 2.1.5.
func (d descriptor) maker(at int) { copy(d[at+1:], "*"+discMaker) }

// domain is an identifier of UDF with the revision, and the flags that the
// content is not to be written to.
func (d descriptor) domain(at int, name string, flags byte) {
	copy(d[at+1:], name)
	d.u16(at+24, udfRevision)
	d[at+26] = flags
}

// date is the date of the disc, coordinated universal time, 1/7.3.
func (d descriptor) date(at int) {
	d.u16(at, 1<<12)
	d.u16(at+2, 2000)
	d[at+4], d[at+5] = 1, 1
}

// sealed puts the place and the sums into the tag: a CRC of what follows the
// tag, and the sum of the tag's bytes, 3/7.2.
func (d descriptor) sealed(place uint32) []byte {
	d.u16(8, crc16(d[16:]))
	d.u16(10, uint16(len(d)-16))
	d.u32(12, place)
	d[4] = tagSum(d)
	return d
}

// tagSum is the sum of a tag's 16 bytes without the fifth, which holds it.
func tagSum(d []byte) (sum byte) {
	for i := range 16 {
		if i != 4 {
			sum += d[i]
		}
	}
	return sum
}

// crc16 is the CRC of ITU-T V.41: x^16 + x^12 + x^5 + 1, from 0, 3/7.2.6.
func crc16(b []byte) (crc uint16) {
	for _, v := range b {
		crc ^= uint16(v) << 8
		for range 8 {
			if crc&0x8000 != 0 {
				crc = crc<<1 ^ 0x1021
			} else {
				crc <<= 1
			}
		}
	}
	return crc
}

// udf returns the sectors of the UDF side.
func (im *discImage) udf() map[uint32][]byte {
	sectors := map[uint32][]byte{
		imageBridge:     []byte("\x00BEA01\x01"),
		imageBridge + 1: []byte("\x00NSR02\x01"),
		imageBridge + 2: []byte("\x00TEA01\x01"),
	}
	for _, at := range []uint32{imageVolume, imageReserve} {
		for i, d := range im.volume() {
			sectors[at+uint32(i)] = d.sealed(at + uint32(i))
		}
	}
	sectors[imageIntegrity] = im.integrity().sealed(imageIntegrity)
	sectors[imageIntegrity+1] = newDescriptor(tagTerminator, 512).sealed(imageIntegrity + 1)
	for _, at := range []uint32{imageAnchor, im.Total - 1} {
		d := newDescriptor(tagAnchor, 512)
		d.extent(16, imageSequence*discSector, imageVolume)
		d.extent(24, imageSequence*discSector, imageReserve)
		sectors[at] = d.sealed(at)
	}
	for block, b := range im.partition() {
		sectors[imagePart+block] = b
	}
	return sectors
}

// blocks is the length of the partition.
func (im *discImage) blocks() uint32 { return im.Total - 1 - imagePart }

// volume returns the descriptors of the volume, 3/10.
func (im *discImage) volume() []descriptor {
	primary := newDescriptor(tagPrimary, 512)
	primary.text(24, 32, im.Volume)
	primary.u16(56, 1)
	primary.u16(58, 1)
	primary.u16(60, 2) // interchange level: a set of one volume
	primary.u16(62, 2)
	primary.u32(64, 1)
	primary.u32(68, 1)
	primary.text(72, 128, im.unique()+im.Volume)
	primary.charset(200)
	primary.charset(264)
	primary.date(376)
	primary.maker(388)

	use := newDescriptor(tagUse, 512)
	use.u32(16, 1)
	use.domain(20, "*UDF LV Info", 0)
	use.charset(52)
	use.text(116, 128, im.Volume)
	use.maker(352)

	part := newDescriptor(tagPartition, 512)
	part.u32(16, 2)
	part.u16(20, 1) // allocated
	part[24] = 2    // an identifier that is not to be changed
	copy(part[25:], "+NSR02")
	part.u32(184, 1) // to be read only
	part.u32(188, imagePart)
	part.u32(192, im.blocks())
	part.maker(196)

	logical := newDescriptor(tagLogical, 446)
	logical.u32(16, 3)
	logical.charset(20)
	logical.text(84, 128, im.Volume)
	logical.u32(212, discSector)
	logical.domain(216, "*OSTA UDF Compliant", 3)
	logical.extent(248, 2*discSector, udfFileSet)
	logical.u32(264, 6) // bytes of the one map below
	logical.u32(268, 1)
	logical.maker(272)
	logical.extent(432, 2*discSector, imageIntegrity)
	copy(logical[440:], []byte{1, 6, 1, 0, 0, 0}) // partition 0 of volume 1

	free := newDescriptor(tagFreeSpace, 24) // none
	free.u32(16, 4)
	return []descriptor{primary, use, part, logical, free, newDescriptor(tagTerminator, 512)}
}

// unique is a mark of 16 characters that two different discs do not share, UDF
// 2.2.2.5.
func (im *discImage) unique() string {
	h := sha256.New()
	fmt.Fprint(h, im.Volume, im.Files, im.Total)
	return fmt.Sprintf("%x", h.Sum(nil))[:16]
}

// integrity says that the volume is closed, 3/10.10 and UDF 2.2.6.
func (im *discImage) integrity() descriptor {
	d := newDescriptor(tagIntegrity, 134)
	d.date(16)
	d.u32(28, 1)
	d.u32(40, udfUnique+3+uint32(len(im.Files))) // the next unique number
	d.u32(72, 1)
	d.u32(76, 46)
	d.u32(84, im.blocks())
	d.maker(88)
	d.u32(120, uint32(len(im.Files)))
	d.u32(124, 3)
	for _, at := range []int{128, 130, 132} {
		d.u16(at, udfRevision)
	}
	return d
}

// udfUnique is the first number of those that name files; the root has 0, UDF
// 3.2.1.1.
const udfUnique = 16

// partition returns the blocks of the partition up to the files.
func (im *discImage) partition() map[uint32][]byte {
	set := newDescriptor(tagFileSet, 512)
	set.date(16)
	set.u16(28, 3)
	set.u16(30, 3)
	set.u32(32, 1)
	set.u32(36, 1)
	set.charset(48)
	set.text(112, 128, im.Volume)
	set.charset(240)
	set.text(304, 32, im.Volume)
	set.extent(400, discSector, udfFolders)
	set.domain(416, "*OSTA UDF Compliant", 3)
	blocks := map[uint32][]byte{
		udfFileSet:     set.sealed(udfFileSet),
		udfFileSet + 1: newDescriptor(tagTerminator, 512).sealed(udfFileSet + 1),
	}
	audio, video := uint32(udfFolders+2), uint32(udfFolders+4)
	folder := func(at, number uint32, links uint16, list []byte) {
		blocks[at] = fileEntry(at, number, links, 4, int64(len(list)), at+1)
		blocks[at+1] = list
	}
	root := udfIdent(udfFolders+1, "", udfFolders, 0, true)
	root = append(root, udfIdent(udfFolders+1, "AUDIO_TS", audio, udfUnique, true)...)
	root = append(root, udfIdent(udfFolders+1, "VIDEO_TS", video, udfUnique+1, true)...)
	folder(udfFolders, 0, 3, root)
	folder(audio, udfUnique, 1, udfIdent(audio+1, "", udfFolders, 0, true))
	list := udfIdent(video+1, "", udfFolders, 0, true)
	for i, f := range im.byName() {
		at, number := uint32(udfFiles+i), udfUnique+2+uint32(i)
		list = append(list, udfIdent(video+1, f.Name, at, number, false)...)
		blocks[at] = fileEntry(at, number, 1, 5, f.Size, f.Sector-imagePart)
	}
	folder(video, udfUnique+1, 1, list)
	return blocks
}

// fileEntry is an entry of a file (kind 5) or a folder (4) of one extent, 4/14.9.
func fileEntry(at, number uint32, links uint16, kind byte, size int64, block uint32) []byte {
	d := newDescriptor(tagFileEntry, 184)
	d.u16(20, 4) // strategy, UDF 2.3.5.1
	d.u16(24, 1)
	d[27] = kind
	d.u16(34, 0x0230) // short extents; not to be moved, for the archive, in one piece
	d.u32(36, 0xffffffff)
	d.u32(40, 0xffffffff) // nobody's
	d.u32(44, 0x1084)     // all may read it
	if kind == 4 {
		d.u32(44, 0x14a5) // and look into it
	}
	d.u16(48, links)
	binary.LittleEndian.PutUint64(d[56:], uint64(size))
	binary.LittleEndian.PutUint64(d[64:], uint64((size+discSector-1)/discSector))
	for _, i := range []int{72, 84, 96} {
		d.date(i)
	}
	d.u32(108, 1)
	d.maker(128)
	d.u32(160, number)
	d.u32(172, 8)
	d.extent(176, uint32(size), block) // below 2^30: a VOB ends at 1 GiB less 32 KiB
	return d.sealed(at)
}

// udfIdent is an entry of a folder's list, 4/14.4; without a name it is the
// folder above.
func udfIdent(at uint32, name string, entry, number uint32, folder bool) []byte {
	length := 38
	if name != "" {
		length += 1 + len(name)
	}
	d := newDescriptor(tagFileIdent, (length+3)/4*4)
	d.u16(16, 1)
	if folder {
		d[18] = 2
	}
	if name == "" {
		d[18] |= 8
	} else {
		d[19] = byte(1 + len(name))
		d[38] = 8
		copy(d[39:], name)
	}
	d.extent(20, discSector, entry)
	d.u32(32, number)
	return d.sealed(at)
}
