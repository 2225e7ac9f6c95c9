package output

import (
	"os"

	"golang.org/x/sys/unix"
)

// pipeSize is what an unprivileged process may ask for: the default of
// /proc/sys/fs/pipe-max-size (pipe(7), "Pipe capacity"). The default pipe is
// 64 KiB, a tenth of a 480i frame, and costs ten switches to the reader.
const pipeSize = 1 << 20

// EnlargePipe asks the system for a pipe buffer of 1 MiB behind f, where f is
// a pipe or FIFO, and returns the size that it then has in bytes; 0 where f is
// nil or no pipe. It never shrinks one, and a refusal is no error: the pipe works
// as it is, only slower.
func EnlargePipe(f *os.File) int {
	if f == nil {
		return 0
	}
	// Not f.Fd(), which would put the file into blocking mode.
	c, err := f.SyscallConn()
	if err != nil {
		return 0
	}
	size := 0
	_ = c.Control(func(fd uintptr) {
		now, err := unix.FcntlInt(fd, unix.F_GETPIPE_SZ, 0)
		if err != nil { // EBADF: not a pipe
			return
		}
		size = now
		if now >= pipeSize {
			return
		}
		if got, err := unix.FcntlInt(fd, unix.F_SETPIPE_SZ, pipeSize); err == nil {
			size = got
		}
	})
	return size
}
