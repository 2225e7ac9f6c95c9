//go:build !linux

package output

import (
	"errors"
	"os"
)

// Pages are shared with a pipe on Linux only.
type shared struct{}

func share(*os.File, []byte) *shared { return nil }

func (*shared) send() (int, error) { return 0, errors.ErrUnsupported }
func (*shared) free()              {}
