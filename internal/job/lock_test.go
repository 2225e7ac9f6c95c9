package job

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// childEnv tells the test binary, started anew, what to do: "append N NAME".
const childEnv = "BACKPORCH_JOB_CHILD"

// child starts this test binary as a writer of the bench.
func child(t testing.TB, dir, task string) *exec.Cmd {
	t.Helper()
	cmd := exec.Command(os.Args[0], "-test.run=^TestChild$", "-test.v")
	cmd.Env = append(os.Environ(), childEnv+"="+task, childEnv+"_DIR="+dir)
	cmd.Stderr = os.Stderr
	return cmd
}

// TestChild is the writer: it prints the id of an entry only when Append has
// returned.
func TestChild(t *testing.T) {
	task := os.Getenv(childEnv)
	if task == "" {
		t.Skip("only as a child of other tests")
	}
	var n int
	var who string
	_, err := fmt.Sscanf(task, "append %d %s", &n, &who)
	require.NoError(t, err)
	b := &Bench{Dir: os.Getenv(childEnv + "_DIR"), wait: time.Minute}
	for i := range n {
		j, err := b.Append(t.Context(), "bench-a", always(note(fmt.Sprintf("%s %d", who, i))))
		require.NoError(t, err)
		fmt.Printf("recorded %d\n", len(j.Entries))
	}
}

// whole checks that a job holds each writer's entries, in its order, and nothing
// twice.
func whole(t *testing.T, b *Bench, writers []string, n int) {
	t.Helper()
	j, err := b.Open("bench-a")
	require.NoError(t, err)
	require.Len(t, j.Entries, 1+len(writers)*n)
	next := map[string]int{}
	for _, e := range j.Entries[1:] {
		var who string
		var i int
		_, err := fmt.Sscanf(e.Text, "%s %d", &who, &i)
		require.NoError(t, err)
		require.Equal(t, next[who], i, who)
		next[who]++
	}
	assert.Len(t, next, len(writers))
	assert.Equal(t, slurp(t, j.Path), slurp(t, j.Path+".good"))
}

func TestConcurrentProcesses(t *testing.T) {
	n := 100
	if testing.Short() {
		n = 20
	}
	for _, count := range []int{2, 8} {
		t.Run(fmt.Sprint(count), func(t *testing.T) {
			b := newBench(t)
			create(t, b, "bench-a")
			var writers []string
			var all []*exec.Cmd
			start := time.Now()
			for i := range count {
				writers = append(writers, fmt.Sprintf("writer-%d", i))
				cmd := child(t, b.Dir, fmt.Sprintf("append %d %s", n, writers[i]))
				require.NoError(t, cmd.Start())
				all = append(all, cmd)
			}
			for _, cmd := range all {
				assert.NoError(t, cmd.Wait())
			}
			t.Logf("%d processes, %d entries each: %v", count, n, time.Since(start).Round(time.Millisecond))
			whole(t, b, writers, n)
		})
	}
}

func TestConcurrentGoroutines(t *testing.T) {
	const n = 20
	b := newBench(t)
	b.wait = time.Minute
	create(t, b, "bench-a")
	var writers []string
	var wg sync.WaitGroup
	for i := range 8 {
		who := fmt.Sprintf("writer-%d", i)
		writers = append(writers, who)
		wg.Go(func() {
			for k := range n {
				_, err := b.Append(context.Background(), "bench-a", always(note(fmt.Sprintf("%s %d", who, k))))
				assert.NoError(t, err)
			}
		})
	}
	wg.Wait()
	whole(t, b, writers, n)
}

// Of several that start one job at a time one has it, and the others are told.
func TestConcurrentCreate(t *testing.T) {
	b := newBench(t)
	var wg sync.WaitGroup
	errs := make([]error, 8)
	for i := range errs {
		wg.Go(func() { _, errs[i] = b.Create(context.Background(), "bench-a", benchA()) })
	}
	wg.Wait()
	made := 0
	for _, err := range errs {
		if err == nil {
			made++
			continue
		}
		assert.ErrorAs(t, err, new(*ExistsError))
	}
	assert.Equal(t, 1, made)
}

func TestLocked(t *testing.T) {
	b := newBench(t)
	j := create(t, b, "bench-a")
	b.wait = 30 * time.Millisecond
	held, release := make(chan bool), make(chan bool)
	done := make(chan error)
	go func() {
		_, err := b.Append(context.Background(), "bench-a", func(*Job) (Entry, error) {
			close(held)
			<-release
			return note("first"), nil
		})
		done <- err
	}()
	<-held
	before := slurp(t, j.Path)
	_, err := b.Append(t.Context(), "bench-a", always(note("second")))
	require.Error(t, err)
	host, _ := os.Hostname()
	assert.Regexp(t, fmt.Sprintf(`^job bench-a is locked: process %d on %s, since 20[-0-9]+T[:0-9]+Z has held \S+bench-a.json.lock for more than 30ms; nothing was written; wait until it is done or end it, and try again \(the lock goes with the program: the file need not be removed\)$`, os.Getpid(), host), err.Error())
	assert.Equal(t, before, slurp(t, j.Path))

	got, err := b.Open("bench-a")
	require.NoError(t, err, "readers do not wait")
	assert.Len(t, got.Entries, 1)

	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Millisecond)
	defer cancel()
	_, err = (&Bench{Dir: b.Dir}).Append(ctx, "bench-a", always(note("third")))
	assert.EqualError(t, err, "interrupted while waiting for job bench-a, which another program has locked with "+j.Path+".lock; nothing was written")
	assert.ErrorIs(t, err, context.DeadlineExceeded)

	close(release)
	require.NoError(t, <-done)
	add(t, b, "bench-a", note("fourth"))
}

// The lock goes with the process that has it, however it ends.
func TestLockOfKilled(t *testing.T) {
	b := newBench(t)
	create(t, b, "bench-a")
	cmd := child(t, b.Dir, "append 1000000 writer")
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	text := make([]byte, 4096)
	for seen := ""; !strings.Contains(seen, "recorded"); {
		n, err := out.Read(text)
		require.NoError(t, err)
		seen += string(text[:n])
	}
	require.NoError(t, cmd.Process.Kill())
	_ = cmd.Wait()
	b.wait = time.Second
	add(t, b, "bench-a", note("after it"))
}
