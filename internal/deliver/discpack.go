package deliver

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"hash"
	"io"
)

// discPacks is what the packs of a program stream carry: sums of the elementary
// streams, which authoring must not change, and counts of their pictures.
type discPacks struct {
	Video, Audio           string // SHA-256 of the bytes
	VideoBytes, AudioBytes int64
	Pictures, Intra        int // pictures, and those that are coded by themselves
	Groups, Closed         int // groups of pictures, and those that lean on none before
	Units                  int // navigation packs
	Misplaced              int // navigation packs that tell another sector than theirs
}

// Start codes of a program stream (H.222.0, table 2-22: memory), and what the
// packets of private stream 1 begin with on a disc (secondary: libdvdread).
const (
	codePack     = 0xba
	codeEnd      = 0xb9
	codePrivate1 = 0xbd
	codePrivate2 = 0xbf // navigation
	codeVideo    = 0xe0
	codePicture  = 0x00 // within video
	codeGroup    = 0xb8

	soundAC3 = 0x80
)

// packReader gathers them.
type packReader struct {
	discPacks
	video, audio hash.Hash
	tail         []byte // of the video, too short to hold a picture's head
}

// readPacks reads a stream whose packs have 2048 bytes each. first is the
// sector that it begins with on the disc.
func readPacks(r io.Reader, first uint32) (*discPacks, error) {
	p := &packReader{video: sha256.New(), audio: sha256.New()}
	pack := make([]byte, discSector)
	for n := first; ; n++ {
		_, err := io.ReadFull(r, pack)
		if err == io.EOF {
			break
		}
		if err == nil {
			err = p.pack(pack, n)
		}
		if err != nil {
			return nil, fmt.Errorf("pack %d: %w", n-first, err)
		}
	}
	p.Video, p.Audio = fmt.Sprintf("%x", p.video.Sum(nil)), fmt.Sprintf("%x", p.audio.Sum(nil))
	return &p.discPacks, nil
}

// pack takes one apart.
func (p *packReader) pack(b []byte, sector uint32) error {
	if !bytes.HasPrefix(b, []byte{0, 0, 1, codePack}) {
		return fmt.Errorf("it begins with %x, not with the code of a pack", b[:4])
	}
	at := 14 + int(b[13]&7) // H.222.0, 2.5.3.3: a pack's head and its stuffing
	for at+6 <= len(b) {
		if b[at] != 0 || b[at+1] != 0 || b[at+2] != 1 {
			return fmt.Errorf("there is no packet at byte %d", at)
		}
		code := b[at+3]
		if code == codeEnd {
			return nil
		}
		end := at + 6 + int(binary.BigEndian.Uint16(b[at+4:]))
		if end > len(b) {
			return fmt.Errorf("the packet at byte %d runs over its end", at)
		}
		if err := p.packet(code, b[at+6:end], sector); err != nil {
			return err
		}
		at = end
	}
	return nil
}

func (p *packReader) packet(code byte, b []byte, sector uint32) error {
	switch code {
	case codePrivate2:
		// PCI is the first of two packets: substream 0, then its own sector.
		if len(b) > 4 && b[0] == 0 {
			p.Units++
			if binary.BigEndian.Uint32(b[1:]) != sector {
				p.Misplaced++
			}
		}
		return nil
	case codeVideo, codePrivate1:
	default:
		return nil // heads and padding
	}
	if len(b) < 3 || 3+int(b[2]) > len(b) {
		return fmt.Errorf("a packet of %d bytes has no room for its head", len(b))
	}
	b = b[3+int(b[2]):]
	if code == codeVideo {
		p.VideoBytes += int64(len(b))
		_, _ = p.video.Write(b) // a hash takes everything
		p.pictures(b)
		return nil
	}
	const head = 4 // of the substream
	if len(b) <= head || b[0] != soundAC3 {
		return fmt.Errorf("there is sound or text of a kind that is not wanted here")
	}
	p.AudioBytes += int64(len(b) - head)
	_, _ = p.audio.Write(b[head:])
	return nil
}

// pictures counts the heads of pictures (H.262, 6.2.3: 00000100, ten bits of
// order, three of the type, 1 for an I picture) and of groups (6.2.2.6: 000001B8,
// 25 bits of time, one that is set if the group is closed).
func (p *packReader) pictures(b []byte) {
	b = append(p.tail, b...)
	const head = 8
	for i := 0; i+head <= len(b); i++ {
		k := bytes.Index(b[i:len(b)-head+3], []byte{0, 0, 1})
		if k < 0 {
			break
		}
		i += k
		switch b[i+3] {
		case codePicture:
			p.Pictures++
			if b[i+5]>>3&7 == 1 {
				p.Intra++
			}
		case codeGroup:
			p.Groups++
			if b[i+7]>>6&1 == 1 {
				p.Closed++
			}
		}
	}
	p.tail = append([]byte(nil), b[max(0, len(b)-head+1):]...)
}
