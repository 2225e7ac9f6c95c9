//go:build unix

package output

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// makeDisc makes a folder with an empty one in it.
func makeDisc(t *testing.T, dir string, force bool, content string) error {
	t.Helper()
	s, err := NewFolder(t.Context(), dir, force, kit)
	if err != nil {
		return err
	}
	defer s.Abort()
	work, err := s.Dir()
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(work, "unfinished"), nil, 0o666)) // must not stay
	require.NoError(t, s.WriteFile("video/big.bin", []byte(content)))
	require.NoError(t, s.Folder("audio"))
	require.NoError(t, s.WriteFile("kit.json", []byte(fmt.Sprintf(`{"schema":%q,"files":[{"name":"video/big.bin"}]}`, kit.Schema))))
	return s.Commit()
}

func TestFolder(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "disc")
	require.NoError(t, makeDisc(t, path, false, "one"))
	holds(t, dir, "disc/kit.json", "disc/video/big.bin")
	info, err := os.Stat(filepath.Join(path, "audio"))
	require.NoError(t, err)
	assert.True(t, info.IsDir(), "an empty folder is part of the set")

	assert.ErrorIs(t, makeDisc(t, path, false, "two"), fs.ErrExist)
	contains(t, filepath.Join(path, "video/big.bin"), "one")
	require.NoError(t, os.Remove(filepath.Join(path, "audio")))
	require.NoError(t, makeDisc(t, path, true, "two"))
	holds(t, dir, "disc/kit.json", "disc/video/big.bin")
	contains(t, filepath.Join(path, "video/big.bin"), "two")
	_, err = os.Stat(filepath.Join(path, "audio"))
	assert.NoError(t, err, "an empty folder is made anew")
}

func TestFolderOutside(t *testing.T) {
	dir := t.TempDir()
	s, err := NewFolder(t.Context(), filepath.Join(dir, "new"), false, Manifest{})
	require.NoError(t, err)
	defer s.Abort()
	assert.Error(t, s.Folder("../a"))
	s.Abort()
	assert.Error(t, s.Folder("a"), "a finished set takes none")
	holds(t, dir)
}

func TestFolderKeptFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "disc")
	require.NoError(t, makeDisc(t, path, false, "one"))
	require.NoError(t, os.Remove(filepath.Join(path, "audio")))
	require.NoError(t, os.WriteFile(filepath.Join(path, "audio"), []byte("own"), 0o666))
	s, err := NewFolder(t.Context(), path, true, kit)
	require.NoError(t, err)
	defer s.Abort()
	assert.ErrorContains(t, s.Folder("audio"), "is there and not listed in")
	contains(t, filepath.Join(path, "audio"), "own")
}
