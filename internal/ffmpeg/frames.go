package ffmpeg

import (
	"bytes"
	"context"
	"strconv"
	"strings"
)

// A Frame is what the decoder was told of one picture of a file.
type Frame struct {
	Interlaced, TopFirst bool
	Repeat               int // further fields shown
	Type                 byte
}

// A Packet is the data of one picture of a file.
type Packet struct {
	Time float64 // s, in the order of decoding
	Size int     // bytes
	Key  bool
}

// Frames decodes the first video stream of a file and returns what every picture
// is flagged as, in the order of showing, and the size of every packet. Errors
// are those of Probe.
func (t *Tool) Frames(ctx context.Context, path string) ([]Frame, []Packet, error) {
	out, err := t.probe(ctx, "-select_streams", "v:0", "-show_packets", "-show_frames", "-show_entries",
		"packet=dts_time,pts_time,size,flags:frame=interlaced_frame,top_field_first,repeat_pict,pict_type", "-of", "compact", "--", path)
	if err != nil {
		return nil, nil, err
	}
	frames, packets := parseFrames(out)
	return frames, packets, nil
}

// parseFrames reads lines such as "packet|dts_time=0.03|size=12|flags=K__" and
// "frame|pict_type=I|interlaced_frame=1".
func parseFrames(out []byte) (frames []Frame, packets []Packet) {
	for line := range bytes.Lines(out) {
		words := strings.Split(strings.TrimSpace(string(line)), "|")
		v := make(map[string]string)
		for _, w := range words[1:] {
			if key, value, ok := strings.Cut(w, "="); ok {
				v[key] = value
			}
		}
		number := func(key string) int { n, _ := strconv.Atoi(v[key]); return n } // "N/A" is 0
		switch words[0] {
		case "frame":
			f := Frame{Interlaced: v["interlaced_frame"] == "1", TopFirst: v["top_field_first"] == "1", Repeat: number("repeat_pict")}
			if s := v["pict_type"]; s != "" {
				f.Type = s[0]
			}
			frames = append(frames, f)
		case "packet":
			p := Packet{Size: number("size"), Key: strings.HasPrefix(v["flags"], "K")}
			var err error
			if p.Time, err = strconv.ParseFloat(v["dts_time"], 64); err != nil {
				p.Time, _ = strconv.ParseFloat(v["pts_time"], 64)
			}
			packets = append(packets, p)
		}
	}
	return frames, packets
}
