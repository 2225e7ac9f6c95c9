package goldentest

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
)

// Hash is the SHA-256 of what a key stands for, in hexadecimal.
type Hash string

// HashOf returns the hash of all parts, one behind the other.
func HashOf(parts ...[]byte) Hash {
	h := sha256.New()
	for _, p := range parts {
		h.Write(p) // never fails
	}
	return Hash(fmt.Sprintf("%x", h.Sum(nil)))
}

// Sums compares got, hashes by key, with golden/<name>, a text file of
// "hash  key" lines in key order, so that a change shows as a short diff.
// got is everything: a key on one side only is an error too. With -update the
// file holds got and nothing else.
func Sums(t testing.TB, name string, got map[string]Hash) {
	t.Helper()
	if err := golden(t).sums(name, got, true); err != nil {
		t.Error(err)
	}
}

// SomeSums compares a part of what golden/<name> holds, such as the keys of a
// short run: keys that are in the file alone are left out of account, keys
// that are in got alone are errors. With -update the lines of got's keys
// change, the others stay.
func SomeSums(t testing.TB, name string, got map[string]Hash) {
	t.Helper()
	if err := golden(t).sums(name, got, false); err != nil {
		t.Error(err)
	}
}

func (s store) sums(name string, got map[string]Hash, whole bool) error {
	if len(got) == 0 {
		return fmt.Errorf("golden/%s: nothing to compare", name)
	}
	for key := range got {
		if key == "" || strings.ContainsAny(key, "\n\r") {
			return fmt.Errorf("golden/%s: key %q is not one line", name, key)
		}
	}
	if s.update && whole {
		return s.write(name, formatSums(got))
	}
	text, err := s.read(name)
	if s.update && err != nil {
		text = nil // a part may be the first of a new file
	} else if err != nil {
		return err
	}
	want, err := parseSums(text)
	if err != nil {
		return fmt.Errorf("golden/%s: %w", name, err)
	}
	if s.update {
		maps.Copy(want, got)
		return s.write(name, formatSums(want))
	}
	bad := compareSums(got, want, whole)
	if len(bad) == 0 {
		return nil
	}
	if !whole { // what the file would be, so that a diff shows only the change
		merged := maps.Clone(want)
		maps.Copy(merged, got)
		got = merged
	}
	if err := s.write(name+".got", formatSums(got)); err != nil {
		return err
	}
	const most = 20
	n := len(bad)
	if n > most {
		bad = append(bad[:most], "...")
	}
	return fmt.Errorf("golden/%s: %d of its keys disagree; see %s.got\n\t%s", name, n, name, strings.Join(bad, "\n\t"))
}

// compareSums lists the keys that disagree, each with its reason.
func compareSums(got, want map[string]Hash, whole bool) (bad []string) {
	for _, key := range slices.Sorted(maps.Keys(got)) {
		if w, ok := want[key]; !ok {
			bad = append(bad, key+": not in the file")
		} else if got[key] != w {
			bad = append(bad, key+": changed")
		}
	}
	if !whole {
		return bad
	}
	for _, key := range slices.Sorted(maps.Keys(want)) {
		if _, ok := got[key]; !ok {
			bad = append(bad, key+": in the file only")
		}
	}
	return bad
}

func formatSums(sums map[string]Hash) []byte {
	var b bytes.Buffer
	for _, key := range slices.Sorted(maps.Keys(sums)) {
		fmt.Fprintf(&b, "%s  %s\n", sums[key], key)
	}
	return b.Bytes()
}

func parseSums(text []byte) (map[string]Hash, error) {
	sums := make(map[string]Hash)
	lines := bufio.NewScanner(bytes.NewReader(text))
	for n := 1; lines.Scan(); n++ {
		hash, key, ok := strings.Cut(lines.Text(), "  ")
		if !ok || len(hash) != 2*sha256.Size || key == "" {
			return nil, fmt.Errorf("line %d is not \"hash  key\"", n)
		}
		if _, twice := sums[key]; twice {
			return nil, fmt.Errorf("line %d: key %q twice", n, key)
		}
		sums[key] = Hash(hash)
	}
	if err := lines.Err(); err != nil {
		return nil, errors.Join(errors.New("unreadable"), err)
	}
	return sums, nil
}
