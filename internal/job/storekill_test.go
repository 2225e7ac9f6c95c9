//go:build unix

package job

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A writer that is killed at any moment loses nothing that it has said to be
// recorded, and leaves a file that can be read.
func TestKilled(t *testing.T) {
	kills := 500
	if testing.Short() {
		kills = 20
	}
	rng := rand.New(rand.NewPCG(7, 500))
	b := newBench(t)
	create(t, b, "bench-a")
	start, recorded, unsaid := time.Now(), 0, 0
	for kill := range kills {
		if kill%25 == 0 { // from small to large, and small again
			b.Dir = filepath.Join(t.TempDir(), fmt.Sprint(kill))
			create(t, b, "bench-a")
			recorded += 1
		}
		j, err := b.Open("bench-a")
		require.NoError(t, err)
		had := len(j.Entries)

		cmd := child(t, b.Dir, "append 1000000 writer")
		said := killAfter(t, cmd, had, time.Duration(rng.Int64N(int64(30*time.Millisecond))))
		j, err = b.Open("bench-a")
		require.NoError(t, err, "kill %d", kill)
		require.GreaterOrEqual(t, len(j.Entries), said, "kill %d: an entry that was recorded is gone", kill)
		require.LessOrEqual(t, len(j.Entries), said+1, "kill %d: more entries than could be on the way", kill)
		unsaid += len(j.Entries) - said
		recorded += len(j.Entries) - had

		good, err := os.ReadFile(j.Path + ".good")
		require.NoError(t, err)
		c, err := parse(good)
		require.NoError(t, err, "kill %d: the copy", kill)
		require.GreaterOrEqual(t, len(c.entries), said-1)
	}
	t.Logf("%d kills in %v, %d entries recorded, %d of them before the writer could say so", kills, time.Since(start).Round(time.Second), recorded, unsaid)
	add(t, b, "bench-a", note("the last word"))
	left, err := filepath.Glob(filepath.Join(b.Dir, ".*"))
	require.NoError(t, err)
	assert.Empty(t, left, "what a killed writer left is used up by the next")
}

// killAfter starts a writer and kills it some time after its first entry. It
// returns how many entries there are by what the writer said.
func killAfter(t *testing.T, cmd *exec.Cmd, had int, after time.Duration) (said int) {
	t.Helper()
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	said = had
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		var n int
		if _, err := fmt.Sscanf(lines.Text(), "recorded %d", &n); err != nil {
			continue
		}
		if said == had {
			time.AfterFunc(after, func() { _ = cmd.Process.Kill() })
		}
		require.Equal(t, said+1, n)
		said = n
	}
	err = cmd.Wait()
	require.ErrorContains(t, err, "killed")
	return said
}

// The same at each stage of a write, on purpose.
func TestKilledAtEachStep(t *testing.T) {
	// opened, half and written come once for the file and once for the copy.
	steps := []string{"opened", "half", "written", "stored", "opened", "half", "written", "copied"}
	seen := map[int]bool{}
	for n, name := range steps {
		t.Run(fmt.Sprint(n, " ", name), func(t *testing.T) {
			b := newBench(t)
			j := create(t, b, "bench-a")
			before := slurp(t, j.Path)
			cmd := exec.Command(os.Args[0], "-test.run=^TestStepChild$")
			cmd.Env = append(os.Environ(), childEnv+"_STEP="+fmt.Sprint(n, " ", name), childEnv+"_DIR="+b.Dir)
			out, err := cmd.CombinedOutput()
			require.ErrorContains(t, err, "killed", "%s", out)
			got, err := b.Open("bench-a")
			require.NoError(t, err)
			seen[len(got.Entries)] = true
			if n < 3 {
				assert.Equal(t, before, slurp(t, j.Path), "the old file")
			} else {
				assert.Len(t, got.Entries, 2, "the new one")
			}
			if n < 7 {
				assert.Equal(t, before, slurp(t, j.Path+".good"), "the old copy")
			}
			now := len(got.Entries)
			assert.Len(t, add(t, b, "bench-a", note("on we go")).Entries, now+1)
			assert.Equal(t, slurp(t, j.Path), slurp(t, j.Path+".good"))
		})
	}
	assert.Len(t, seen, 2)
}

// TestStepChild is a writer that ends at one stage.
func TestStepChild(t *testing.T) {
	var at int
	var name string
	if _, err := fmt.Sscan(os.Getenv(childEnv+"_STEP"), &at, &name); err != nil {
		t.Skip("only as a child of another test")
	}
	n := 0
	b := &Bench{Dir: os.Getenv(childEnv + "_DIR"), step: func(s string) {
		if n == at {
			require.Equal(t, name, s)
			_ = syscall.Kill(os.Getpid(), syscall.SIGKILL)
			select {}
		}
		n++
	}}
	_, err := b.Append(t.Context(), "bench-a", always(note("second")))
	require.NoError(t, err)
}

// A copy that cannot be written is no reason to say that the entry was not
// recorded: it would be recorded twice.
func TestCopyCannotBeWritten(t *testing.T) {
	b := newBench(t)
	j := create(t, b, "bench-a")
	require.NoError(t, os.Remove(j.Path+".good"))
	require.NoError(t, os.MkdirAll(filepath.Join(j.Path+".good", "in the way"), 0o777))
	got := add(t, b, "bench-a", note("two"))
	assert.Len(t, got.Entries, 2)
	require.Len(t, got.Warnings, 1)
	assert.Contains(t, got.Warnings[0], "the entry is recorded, but the good copy "+j.Path+".good could not be written: ")
}

// What the system says is put into words.
func TestWriteError(t *testing.T) {
	for err, want := range map[error]string{
		syscall.ENOSPC: "bench/a.json: the disk is full; the old file is unchanged; free some space and try again",
		syscall.EDQUOT: "bench/a.json: the disk is full; the old file is unchanged; free some space and try again",
		syscall.EACCES: "bench/a.json: no permission to write in the folder bench; the old file is unchanged; choose a folder that you may write in",
		syscall.EIO:    "bench/a.json: input/output error; the old file is unchanged; see to the disk and try again",
	} {
		w := &WriteError{"bench/a.json", "the old file is unchanged", err}
		assert.EqualError(t, w, want)
		assert.ErrorIs(t, w, err)
	}
}
