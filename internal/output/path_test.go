package output

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestPath: what another program writes at the path appears with the set, its
// scratch folder does not.
func TestPath(t *testing.T) {
	dir := t.TempDir()
	s, err := NewFiles(context.Background(), dir, false, "a.mpg", "a.json")
	require.NoError(t, err)
	defer s.Abort()
	path, err := s.Path("a.mpg")
	require.NoError(t, err)
	work, err := s.Dir()
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(work, "x"), []byte("x"), 0o666))
	require.NoError(t, os.WriteFile(path, []byte("by another"), 0o666))
	_, err = os.Stat(filepath.Join(dir, "a.mpg"))
	require.ErrorIs(t, err, os.ErrNotExist, "not before Commit")
	_, err = s.Path("a.mpg")
	require.ErrorContains(t, err, "in the set already")
	_, err = s.Path("b.mpg")
	require.ErrorContains(t, err, "not announced")
	require.NoError(t, s.WriteFile("a.json", []byte("{}")))
	require.NoError(t, s.Commit())
	got, err := os.ReadFile(filepath.Join(dir, "a.mpg"))
	require.NoError(t, err)
	assert.Equal(t, "by another", string(got))
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, entries, 2, "nothing hidden stays")
}

func TestPathAborted(t *testing.T) {
	dir := t.TempDir()
	ctx, cancel := context.WithCancel(context.Background())
	s, err := NewFiles(ctx, dir, false, "a.mpg")
	require.NoError(t, err)
	path, err := s.Path("a.mpg")
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, []byte("half"), 0o666))
	full := s.Failed("a.mpg", syscall.ENOSPC)
	assert.EqualError(t, full, filepath.Join(dir, "a.mpg")+": the disk is full; nothing was changed under the names a.mpg; free some space or choose another place with -o")
	cancel()
	var stopped *InterruptedError
	require.True(t, errors.As(s.Failed("a.mpg", syscall.EPIPE), &stopped))
	s.Abort()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Empty(t, entries)
}
