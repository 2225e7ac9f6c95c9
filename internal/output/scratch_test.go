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

// makeDisc makes a folder whose big file was written by somebody else.
func makeDisc(t *testing.T, dir string, force bool, content string) error {
	t.Helper()
	s, err := NewFolder(t.Context(), dir, force, kit)
	if err != nil {
		return err
	}
	defer s.Abort()
	in, err := s.Scratch()
	require.NoError(t, err)
	require.True(t, filepath.IsAbs(in))
	require.NoError(t, os.Mkdir(filepath.Join(in, "made"), 0o777))
	require.NoError(t, os.WriteFile(filepath.Join(in, "made", "big"), []byte(content), 0o666))
	require.NoError(t, os.WriteFile(filepath.Join(in, "leftover"), nil, 0o666))
	require.NoError(t, s.Take("video/big.bin", "made/big"))
	require.NoError(t, s.Folder("audio"))
	require.NoError(t, s.WriteFile("kit.json", []byte(fmt.Sprintf(`{"schema":%q,"files":[{"name":"video/big.bin"}]}`, kit.Schema))))
	return s.Commit()
}

func TestScratch(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "disc")
	require.NoError(t, makeDisc(t, path, false, "one"))
	holds(t, dir, "disc/kit.json", "disc/video/big.bin")
	info, err := os.Stat(filepath.Join(path, "audio"))
	require.NoError(t, err)
	assert.True(t, info.IsDir(), "an empty folder is part of the set")

	assert.ErrorIs(t, makeDisc(t, path, false, "two"), fs.ErrExist)
	contains(t, filepath.Join(path, "video/big.bin"), "one")
	require.NoError(t, makeDisc(t, path, true, "two"))
	holds(t, dir, "disc/kit.json", "disc/video/big.bin")
	contains(t, filepath.Join(path, "video/big.bin"), "two")
	_, err = os.Stat(filepath.Join(path, "audio"))
	assert.NoError(t, err)
}

func TestScratchRefused(t *testing.T) {
	dir := t.TempDir()
	for name, step := range map[string]func(s *Set) error{
		"out of the scratch folder": func(s *Set) error { return s.Take("a", "../new/x") },
		"nothing there":             func(s *Set) error { return s.Take("a", "absent") },
		"folder outside":            func(s *Set) error { return s.Folder("../a") },
	} {
		t.Run(name, func(t *testing.T) {
			s, err := NewFolder(t.Context(), filepath.Join(dir, "new"), false, Manifest{})
			require.NoError(t, err)
			defer s.Abort()
			_, err = s.Scratch()
			require.NoError(t, err)
			assert.Error(t, step(s))
			s.Abort()
			holds(t, dir)
			_, err = s.Scratch()
			assert.Error(t, err, "a finished set has no scratch folder")
		})
	}
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
