package oracle

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
)

// recorder stands in for a test and keeps what it ended with. Only the methods
// that the package calls are here; any other is a nil call.
type recorder struct {
	testing.TB
	dir, message string
	ctx          context.Context
}

func (r *recorder) Helper()                           {}
func (r *recorder) Context() context.Context          { return r.ctx }
func (r *recorder) TempDir() string                   { return r.dir }
func (r *recorder) Fatalf(format string, args ...any) { r.stop("FAIL " + fmt.Sprintf(format, args...)) }
func (r *recorder) Skipf(format string, args ...any)  { r.stop("SKIP " + fmt.Sprintf(format, args...)) }

type stopped struct{}

func (r *recorder) stop(s string) {
	r.message = s
	panic(stopped{})
}

// failed runs f with a stand-in for the test and returns what it ended with.
func failed(t *testing.T, f func(testing.TB)) string {
	t.Helper()
	r := &recorder{dir: t.TempDir(), ctx: t.Context()}
	func() {
		defer func() {
			if p := recover(); p != nil && p != any(stopped{}) {
				panic(p)
			}
		}()
		f(r)
	}()
	return r.message
}

func TestNeed(t *testing.T) {
	need := func(t testing.TB) { Need(t, "no-such-tool") }
	t.Setenv(requireTools, "")
	assert.Equal(t, "SKIP oracle: no-such-tool is not installed; this test reads the files with it", failed(t, need))
	t.Setenv(requireTools, "1")
	assert.Contains(t, failed(t, need), "FAIL oracle: no-such-tool is not installed")
	assert.NotEmpty(t, Need(t, "go"), "go runs this test, so it is on the path")
}
