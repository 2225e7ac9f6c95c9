package output

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
)

// A Manifest says how a folder of ours is recognized: by a JSON file of this
// name whose first level holds
//
//	{"schema": SCHEMA, "files": [{"name": "a.png"}, {"name": "sub/b.y4m"}, ...]}
//
// among other keys, which are not looked at. Names are relative to the folder,
// with forward slashes; the manifest need not list itself.
type Manifest struct {
	Name   string // such as "kit.json"
	Schema string // such as "backporch/kit/1"
}

// maxManifest bounds what is read of a file that only claims to be ours, bytes.
const maxManifest = 16 << 20

// read returns the names that the manifest in root lists, itself included, as
// local paths of this system, each once. The error is a plain reason.
func (m Manifest) read(root *os.Root) (map[string]bool, error) {
	info, err := root.Stat(m.Name)
	switch {
	case err != nil:
		return nil, bare(err)
	case !info.Mode().IsRegular():
		return nil, errors.New("it is not a regular file")
	case info.Size() > maxManifest:
		return nil, fmt.Errorf("it is larger than %d bytes", maxManifest)
	}
	data, err := root.ReadFile(m.Name)
	if err != nil {
		return nil, bare(err)
	}
	names, err := m.parse(data)
	if err != nil {
		return nil, err
	}
	for name := range names {
		// A link out of the folder shows here: os.Root refuses to follow it.
		info, err := root.Lstat(name)
		switch {
		case errors.Is(err, fs.ErrNotExist) || isNotFolder(err):
			delete(names, name) // already gone
		case err != nil:
			return nil, fmt.Errorf("it lists %q: %w", name, bare(err))
		case info.IsDir():
			return nil, fmt.Errorf("it lists %q, which is a folder", name)
		}
	}
	return names, nil
}

// parse reads the part of a manifest that matters here.
func (m Manifest) parse(data []byte) (map[string]bool, error) {
	var v struct {
		Schema string `json:"schema"`
		Files  []struct {
			Name string `json:"name"`
		} `json:"files"`
	}
	if err := json.Unmarshal(data, &v); err != nil {
		return nil, fmt.Errorf("it cannot be read as JSON: %w", err)
	}
	if v.Schema != m.Schema {
		return nil, fmt.Errorf("its schema is %q, not %q", v.Schema, m.Schema)
	}
	names := map[string]bool{m.Name: true}
	for _, f := range v.Files {
		name, err := local(f.Name)
		if err != nil {
			return nil, fmt.Errorf("it lists %q, which %w", f.Name, err)
		}
		names[name] = true
	}
	return names, nil
}

// local turns a slash-separated name into a clean path that stays within its
// folder and names something in it.
func local(name string) (string, error) {
	p := filepath.FromSlash(path.Clean(name))
	if name == "" || p == "." || !filepath.IsLocal(p) {
		return "", errors.New("is not the name of a file inside the folder")
	}
	return p, nil
}
