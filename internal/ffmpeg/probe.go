package ffmpeg

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os/exec"
	"path/filepath"
	"strconv"
)

// probeName is the program that comes with ffmpeg and says what a file is.
const probeName = "ffprobe"

// A Probe is what a media file says of itself. Words are those of ffprobe;
// what the file does not say is "", 0 or "unknown".
type Probe struct {
	Format   string  // of the container, such as "matroska,webm"
	Duration float64 // s
	BitRate  int64   // of the whole file, bit/s
	Video    *Video  // the first video stream; nil: none
	Audio    *Audio  // the first audio stream; nil: none
}

// Video is a stream of pictures.
type Video struct {
	Codec         string `json:"codec_name"`
	Profile       string `json:"profile"`
	Width         int    `json:"width"`
	Height        int    `json:"height"`
	Pixels        string `json:"pix_fmt"`
	SampleAspect  string `json:"sample_aspect_ratio"`  // "10:11"
	DisplayAspect string `json:"display_aspect_ratio"` // "4:3"
	FieldOrder    string `json:"field_order"`          // progressive, tt, bb, tb, bt
	Range         string `json:"color_range"`          // tv, pc
	Matrix        string `json:"color_space"`
	Transfer      string `json:"color_transfer"`
	Primaries     string `json:"color_primaries"`
	Siting        string `json:"chroma_location"`
	Rate          string `json:"r_frame_rate"` // "30000/1001": the least that all timestamps fit
	MeanRate      string `json:"avg_frame_rate"`
	Level         int    `json:"level"`
	Frames        int    `json:"-"` // as the container says; 0: it does not
}

// Audio is a stream of sound.
type Audio struct {
	Codec    string `json:"codec_name"`
	Rate     int    `json:"-"` // Hz
	Channels int    `json:"channels"`
}

// Probe asks the ffprobe that stands beside this ffmpeg, or is on the search
// path, what a file is. The errors are a *RunError with what it complained of,
// a *MissingError, or the cause of ctx.
func (t *Tool) Probe(ctx context.Context, path string) (*Probe, error) {
	out, err := t.probe(ctx, "-show_format", "-show_streams", "-of", "json", "--", path)
	if err != nil {
		return nil, err
	}
	return parseProbe(out)
}

// probe runs ffprobe and returns what it prints.
func (t *Tool) probe(ctx context.Context, args ...string) ([]byte, error) {
	program := filepath.Join(filepath.Dir(t.Path), probeName)
	if _, err := exec.LookPath(program); err != nil {
		if program, err = exec.LookPath(probeName); err != nil {
			return nil, &MissingError{fmt.Errorf("its part %s: %w", probeName, err)}
		}
	}
	cmd := command(ctx, program, append([]string{"-v", "error"}, args...)...)
	var out bytes.Buffer
	var complaints tail
	cmd.Stdout, cmd.Stderr = &out, &complaints
	err := cmd.Run()
	switch {
	case err == nil:
		return out.Bytes(), nil
	case ctx.Err() != nil:
		return nil, context.Cause(ctx)
	}
	return nil, &RunError{Args: args, Tail: complaints.String(), Err: err}
}

// stream is how ffprobe writes any stream: numbers partly as strings.
type stream struct {
	Type   string `json:"codec_type"`
	Frames string `json:"nb_frames"`
	Rate   string `json:"sample_rate"`
}

func parseProbe(out []byte) (*Probe, error) {
	var all struct {
		Format struct {
			Name     string `json:"format_name"`
			Duration string `json:"duration"`
			BitRate  string `json:"bit_rate"`
		} `json:"format"`
		Streams []json.RawMessage `json:"streams"`
	}
	if err := json.Unmarshal(out, &all); err != nil {
		return nil, fmt.Errorf("%s says what cannot be read: %w", probeName, err)
	}
	if len(all.Streams) == 0 {
		return nil, errors.New("there is neither picture nor sound in it")
	}
	p := &Probe{Format: all.Format.Name}
	// What is missing, or "N/A", is 0.
	p.Duration, _ = strconv.ParseFloat(all.Format.Duration, 64)
	p.BitRate, _ = strconv.ParseInt(all.Format.BitRate, 10, 64)
	for _, raw := range all.Streams {
		var s stream
		if err := json.Unmarshal(raw, &s); err != nil {
			return nil, fmt.Errorf("%s says what cannot be read: %w", probeName, err)
		}
		var err error
		switch {
		case s.Type == "video" && p.Video == nil:
			p.Video = new(Video)
			err = json.Unmarshal(raw, p.Video)
			p.Video.Frames, _ = strconv.Atoi(s.Frames)
		case s.Type == "audio" && p.Audio == nil:
			p.Audio = new(Audio)
			err = json.Unmarshal(raw, p.Audio)
			p.Audio.Rate, _ = strconv.Atoi(s.Rate)
		}
		if err != nil {
			return nil, fmt.Errorf("%s says what cannot be read: %w", probeName, err)
		}
	}
	return p, nil
}
