package job

import (
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A disk that takes no more bytes: the system refuses to let the file grow
// beyond a limit, as a full disk does (setrlimit(2), RLIMIT_FSIZE: EFBIG).
func TestNoRoom(t *testing.T) {
	b := newBench(t)
	j := create(t, b, "bench-a")
	before := slurp(t, j.Path)
	cmd := exec.Command(os.Args[0], "-test.run=^TestNoRoomChild$", "-test.v")
	cmd.Env = append(os.Environ(), childEnv+"_ROOM=600", childEnv+"_DIR="+b.Dir)
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%s", out)
	assert.Contains(t, string(out), "said: "+j.Path+": file too large; the old file is unchanged; see to the disk and try again\n")
	assert.Equal(t, before, slurp(t, j.Path))
	assert.Equal(t, before, slurp(t, j.Path+".good"))
	left, err := filepath.Glob(filepath.Join(b.Dir, ".*"))
	require.NoError(t, err)
	assert.Empty(t, left)
	add(t, b, "bench-a", note("room again"))
}

func TestNoRoomChild(t *testing.T) {
	var room uint64
	if _, err := fmt.Sscan(os.Getenv(childEnv+"_ROOM"), &room); err != nil {
		t.Skip("only as a child of another test")
	}
	signal.Ignore(syscall.SIGXFSZ)
	limit := syscall.Rlimit{Cur: room, Max: room}
	require.NoError(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit))
	_, err := (&Bench{Dir: os.Getenv(childEnv + "_DIR")}).Append(t.Context(), "bench-a", always(note(strings.Repeat("long ", 100))))
	fmt.Printf("said: %v\n", err)
}
