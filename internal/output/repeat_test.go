package output

import (
	"bytes"
	"context"
	"io"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// noise returns bytes that show every slip: no page of them equals another.
func noise(n int) []byte {
	p := make([]byte, n)
	r := rand.New(rand.NewPCG(1, 2))
	for i := range p {
		p[i] = byte(r.Uint32())
	}
	return p
}

// repeat runs Repeat on w as standard output.
func repeat(ctx context.Context, w io.Writer, p []byte, n int, after func(int)) error {
	return File(ctx, Stdout, false, w, func(w io.Writer) error { return w.(Repeater).Repeat(p, n, after) })
}

// The same bytes must arrive whatever stands behind standard output: a pipe,
// where the pages are shared, a file, or a writer of the test's own.
func TestRepeat(t *testing.T) {
	for _, size := range []int{1, 4096, 691200, 691206} {
		p := noise(size)
		want := bytes.Repeat(p, 5)

		var buf bytes.Buffer
		calls := 0
		require.NoError(t, repeat(t.Context(), &buf, p, 5, func(done int) { calls++; assert.Equal(t, calls, done) }))
		assert.Equal(t, 5, calls)
		assert.True(t, bytes.Equal(want, buf.Bytes()), "writer, %d bytes", size)

		r, w, err := os.Pipe()
		require.NoError(t, err)
		got := make(chan []byte)
		go func() {
			all, _ := io.ReadAll(r)
			got <- all
		}()
		// Whatever p holds afterwards must not reach the reader.
		q := bytes.Clone(p)
		require.NoError(t, repeat(t.Context(), w, q, 5, nil))
		clear(q)
		require.NoError(t, w.Close())
		assert.True(t, bytes.Equal(want, <-got), "pipe, %d bytes", size)
		require.NoError(t, r.Close())
	}
}

// A reader that goes away ends the work with the error of a closed pipe.
func TestRepeatClosedPipe(t *testing.T) {
	r, w, err := os.Pipe()
	require.NoError(t, err)
	defer w.Close()
	go func() {
		_, _ = io.ReadFull(r, make([]byte, 1000))
		r.Close()
	}()
	err = repeat(t.Context(), w, noise(691200), 1000, nil)
	require.Error(t, err)
	assert.True(t, IsClosedPipe(err), "%v", err)
}

// Cancellation ends it between frames, and also where nobody reads.
func TestRepeatCanceled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	r, w, err := os.Pipe()
	require.NoError(t, err)
	defer r.Close()
	defer w.Close()
	time.AfterFunc(50*time.Millisecond, cancel)
	start := time.Now()
	err = repeat(ctx, w, noise(691200), 1000, nil)
	var in *InterruptedError
	require.ErrorAs(t, err, &in)
	assert.Less(t, time.Since(start), 10*time.Second)

	var buf bytes.Buffer
	ctx, cancel = context.WithCancel(t.Context())
	err = repeat(ctx, &buf, []byte("x"), 100, func(done int) {
		if done == 3 {
			cancel()
		}
	})
	require.ErrorAs(t, err, &in)
	assert.Equal(t, 3, buf.Len())
}
