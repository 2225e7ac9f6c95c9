package job

import (
	"errors"
	"os/exec"
	"testing"

	"github.com/stretchr/testify/require"
)

// asOne is errors.As for conditions.
func asOne[T error](err error, target *T) bool { return errors.As(err, target) }

// shell runs a line as a person would type it.
func shell(t testing.TB, line string) string {
	t.Helper()
	sh, err := exec.LookPath("sh")
	if err != nil {
		t.Skip("no shell")
	}
	out, err := exec.Command(sh, "-c", line).Output()
	require.NoError(t, err, line)
	return string(out)
}
