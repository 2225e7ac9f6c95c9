package main

import (
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

const (
	pipeFrames = 1800
	frameBytes = 720 * 480 * 2
)

// bareLoop is the yardstick of BenchmarkPipe: the same bytes from a program
// that does nothing else, one write a frame, into the pipe as it is.
func bareLoop() {
	frame := make([]byte, frameBytes)
	for range pipeFrames {
		if _, err := os.Stdout.Write(frame); err != nil {
			os.Exit(1)
		}
	}
}

// BenchmarkPipe runs whole programs that write 1,800 frames of 480i into a
// pipe: ours, a bare loop, and a general converter that loops one PNG. It
// reports their rate, CPU time and memory.
func BenchmarkPipe(b *testing.B) {
	self, err := os.Executable()
	require.NoError(b, err)
	dir := b.TempDir()
	// The test binary is the program under the name it is started with.
	as := func(name string, args ...string) func() *exec.Cmd {
		return func() *exec.Cmd { return &exec.Cmd{Path: self, Args: append([]string{name}, args...), Dir: dir} }
	}
	stream := func(format string) func() *exec.Cmd {
		return as("backporch", "render", "bars-full", "--format", format, "--frames", "1800", "-o", "-")
	}
	b.Run("bare", func(b *testing.B) { pipe(b, as("bareloop")) })
	b.Run("uyvy", func(b *testing.B) { pipe(b, stream("uyvy")) })
	b.Run("y4m", func(b *testing.B) { pipe(b, stream("y4m")) })
	b.Run("converter", func(b *testing.B) {
		tool, err := exec.LookPath("ffmpeg")
		if err != nil {
			b.Skip("ffmpeg is not installed")
		}
		require.NoError(b, as("backporch", "render", "bars-full", "-o", "bars.png", "--force")().Run())
		pipe(b, func() *exec.Cmd {
			return exec.Command(tool, "-v", "error", "-loop", "1", "-i", filepath.Join(dir, "bars.png"),
				"-frames:v", "1800", "-pix_fmt", "uyvy422", "-f", "rawvideo", "-")
		})
	})
}

func pipe(b *testing.B, command func() *exec.Cmd) {
	var cpu float64
	var rss int64
	buf := make([]byte, 1<<20)
	for b.Loop() {
		r, w, err := os.Pipe()
		require.NoError(b, err)
		cmd := command()
		cmd.Stdout, cmd.Stderr = w, os.Stderr
		require.NoError(b, cmd.Start())
		w.Close()
		n := int64(0)
		for {
			k, err := r.Read(buf)
			n += int64(k)
			if err == io.EOF {
				break
			}
			require.NoError(b, err)
		}
		r.Close()
		require.NoError(b, cmd.Wait())
		require.GreaterOrEqual(b, n, int64(pipeFrames*frameBytes))
		b.SetBytes(n)
		cpu += (cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()).Seconds()
		if u, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage); ok {
			rss = max(rss, u.Maxrss)
		}
	}
	runs := float64(b.N)
	b.ReportMetric(pipeFrames*runs/b.Elapsed().Seconds(), "frames/s")
	b.ReportMetric(cpu/runs, "cpu-s/op")
	b.ReportMetric(float64(rss)/1024, "MB-max")
}
