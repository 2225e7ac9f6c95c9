package testtable

import (
	"fmt"
	"testing"
)

// recorder stands in for a test and keeps the message it failed with. Only
// the methods that the package calls are here; any other is a nil call.
type recorder struct {
	testing.TB
	message string
}

func (r *recorder) Helper() {}

func (r *recorder) Fatal(args ...any) { r.stop(fmt.Sprint(args...)) }

func (r *recorder) Fatalf(format string, args ...any) { r.stop(fmt.Sprintf(format, args...)) }

// stop keeps the first message and ends the call, as Fatal of a test would.
func (r *recorder) stop(s string) {
	if r.message == "" {
		r.message = s
	}
	panic("failed")
}
