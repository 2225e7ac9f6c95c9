package deliver

import (
	"context"
	"errors"
	"io"
	"os"

	"backporch/internal/ffmpeg"
)

// args are those of the encoder, which reads YUV4MPEG2 from standard input and
// sound (if any) from a file.
func (j *Job) args(path, sound string) []string {
	a := []string{"-f", "yuv4mpegpipe", "-i", "pipe:0"}
	if sound != "" {
		a = append(a, "-f", "wav", "-i", "file:"+sound)
	}
	a = append(a, "-map", "0:v:0", "-map_metadata", "-1", "-metadata", "title="+j.Spec+" "+j.Raster.Name,
		"-vf", flags(j.Raster).tags(), "-c:v", j.Target.encoder)
	a = append(a, j.Target.settings(j)...)
	if sound != "" {
		a = append(a, "-map", "1:a:0", "-c:a", j.Target.sound)
		switch j.Target.sound {
		case "ac3", "aac":
			a = append(a, "-b:a", "192k", "-flags:a", "+bitexact")
		}
	}
	return append(a, "-fflags", "+bitexact", "-f", j.Target.muxer, "-y", "file:"+path)
}

// Encode writes the file at path, which should be a hidden one: what is there
// after an error is not whole. The errors are those of ffmpeg.Tool.Encode, and
// of the file system.
func (j *Job) Encode(ctx context.Context, tool *ffmpeg.Tool, path string) error {
	sound := ""
	if j.Audio != NoAudio {
		sound = path + ".wav"
		defer os.Remove(sound)
		if err := j.writeSound(sound); err != nil {
			return err
		}
	}
	return j.run(ctx, tool, j.args(path, sound))
}

// run feeds an encoder with the picture.
func (j *Job) run(ctx context.Context, tool *ffmpeg.Tool, args []string) error {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	r, w := io.Pipe()
	written := make(chan error, 1)
	go func() {
		err := j.Write(ctx, w)
		_ = w.CloseWithError(err) // nil is the end of the file
		written <- err
	}()
	err := tool.Encode(ctx, r, j.told, args...)
	_ = r.CloseWithError(errStopped) // who still writes must end
	if own := <-written; own != nil && !errors.Is(own, errStopped) && ctx.Err() == nil {
		return own // the cause; that the encoder found half a picture is not
	}
	return err
}

var errStopped = errors.New("the encoder has stopped")
