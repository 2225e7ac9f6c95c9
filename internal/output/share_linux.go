package output

import (
	"os"
	"unsafe"

	"golang.org/x/sys/unix"
)

// A shared frame lies in pages of its own, outside the Go heap, that a pipe can
// hold without a copy (vmsplice(2)): only the reader copies. The pages are
// never written again, and the pipe keeps those that it still holds when they
// are unmapped.
type shared struct {
	mem []byte
	f   *os.File
}

// share returns p as pages for the pipe f; nil where f is no pipe, or one
// whose writes must not block.
func share(f *os.File, p []byte) *shared {
	c, err := f.SyscallConn()
	if err != nil || len(p) == 0 {
		return nil
	}
	blocking := false
	_ = c.Control(func(fd uintptr) {
		if _, err := unix.FcntlInt(fd, unix.F_GETPIPE_SZ, 0); err != nil {
			return // not a pipe
		}
		flags, err := unix.FcntlInt(fd, unix.F_GETFL, 0)
		blocking = err == nil && flags&unix.O_NONBLOCK == 0
	})
	if !blocking {
		return nil
	}
	mem, err := unix.Mmap(-1, 0, len(p), unix.PROT_READ|unix.PROT_WRITE, unix.MAP_PRIVATE|unix.MAP_ANON)
	if err != nil {
		return nil
	}
	copy(mem, p)
	return &shared{mem, f}
}

// send gives the pages to the pipe, waiting for room, and returns how many bytes
// went before the first error.
func (s *shared) send() (n int, err error) {
	c, err := s.f.SyscallConn()
	if err != nil {
		return 0, err
	}
	cerr := c.Control(func(fd uintptr) {
		for n < len(s.mem) {
			rest := s.mem[n:]
			iov := unix.Iovec{Base: unsafe.SliceData(rest)}
			iov.SetLen(len(rest))
			var k int
			if k, err = unix.Vmsplice(int(fd), []unix.Iovec{iov}, 0); err == unix.EINTR {
				continue
			} else if err != nil {
				return
			}
			n += k
		}
		err = nil
	})
	if err == nil {
		err = cerr
	}
	return n, err
}

// free unmaps the pages.
func (s *shared) free() { _ = unix.Munmap(s.mem) }
