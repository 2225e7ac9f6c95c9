package arch

import (
	"errors"
	"fmt"
	"go/build"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"backporch/internal/testtable"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const module = "backporch"

// systems are the ones whose files are read, so that a file for one of them
// alone cannot escape the policy.
var systems = []string{"linux", "darwin", "windows"}

// pack is a package as the policy sees it: imports in order, each once.
type pack struct {
	path                 string // below the module's root
	imports, testImports []string
	cgo                  bool
}

// packages reads the imports of every package below root. It does so in this
// process: a test that lets go list read them passes from the test cache
// after a rule has been broken.
func packages(root string) ([]pack, error) {
	var all []pack
	err := filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
		if err != nil || !d.IsDir() {
			return err
		}
		rel, err := filepath.Rel(root, p)
		if err != nil {
			return err
		}
		if rel != "." && (strings.HasPrefix(d.Name(), ".") || d.Name() == "testdata" || rel == "golden") {
			return filepath.SkipDir
		}
		one := pack{path: filepath.ToSlash(rel)}
		found := false
		for _, goos := range systems {
			c := build.Default
			c.GOOS, c.CgoEnabled = goos, true
			b, err := c.ImportDir(p, 0)
			var none *build.NoGoError
			if errors.As(err, &none) {
				continue
			}
			if err != nil {
				return err
			}
			found = true
			one.imports = append(one.imports, b.Imports...)
			one.testImports = append(append(one.testImports, b.TestImports...), b.XTestImports...)
			one.cgo = one.cgo || len(b.CgoFiles) > 0
		}
		if found {
			slices.Sort(one.imports)
			slices.Sort(one.testImports)
			one.imports = slices.Compact(one.imports)
			one.testImports = slices.Compact(one.testImports)
			all = append(all, one)
		}
		return nil
	})
	return all, err
}

// ruleOf returns the row for a package.
func ruleOf(pkg string) (rule, bool) {
	if r, ok := policy[pkg]; ok {
		return r, true
	}
	r, ok := policy[path.Dir(pkg)+"/*"]
	return r, ok
}

// listed reports whether names has name, a folder above it with *, or a lone *.
func listed(names []string, name string) bool {
	return slices.Contains(names, name) || slices.Contains(names, path.Dir(name)+"/*")
}

// within reports whether an import path is one of names or lies below one.
func within(names []string, imp string) bool {
	return slices.ContainsFunc(names, func(n string) bool { return imp == n || strings.HasPrefix(imp, n+"/") })
}

// local cuts the module's own path off an import of one of its packages.
func local(imp string) (string, bool) {
	if imp == module {
		return ".", true
	}
	return strings.CutPrefix(imp, module+"/")
}

// standard reports whether an import is of the standard library: the first
// element of any other has a dot.
func standard(imp string) bool {
	first, _, _ := strings.Cut(imp, "/")
	return !strings.Contains(first, ".")
}

// breaches says how a package's imports break the policy.
func breaches(p pack) (bad []string) {
	say := func(format string, args ...any) { bad = append(bad, p.path+": "+fmt.Sprintf(format, args...)) }
	r, ok := ruleOf(p.path)
	if !ok {
		say("no row in internal/arch for this package")
		return bad
	}
	if p.cgo {
		say("uses cgo; the program is built without it")
	}
	for _, imp := range p.imports {
		if imp == "C" {
			continue // said above
		}
		if mine, ok := local(imp); ok {
			other, known := ruleOf(mine)
			everything := slices.Contains(r.may, "*") && known && !other.testsOnly
			if !everything && !listed(r.may, mine) {
				say("may not import %s", mine)
			}
			continue
		}
		switch {
		case standard(imp):
			if within(r.never, imp) {
				say("may not import %s", imp)
			} else if within([]string{"testing"}, imp) && !r.testsOnly {
				say("imports %s outside tests", imp)
			}
		case !within(r.outside, imp):
			say("may not import %s", imp)
		}
	}
	library := !strings.HasPrefix(p.path, "internal/") && !strings.HasPrefix(p.path, "cmd/")
	for _, imp := range p.testImports {
		mine, ok := local(imp)
		switch {
		case ok && library && strings.HasPrefix(mine, "internal/"):
			// A test that two routes agree belongs to crosscheck, where it
			// does not tie the library to the workshop.
			if other, _ := ruleOf(mine); !other.testsOnly {
				say("its tests may not import %s", mine)
			}
		case !ok && !standard(imp) && !within(r.outside, imp) && !within(testModules, imp):
			say("its tests may not import %s", imp)
		}
	}
	return bad
}

func TestImports(t *testing.T) {
	all, err := packages(testtable.Root(t))
	require.NoError(t, err)
	require.Contains(t, names(all), "internal/arch", "the walk does not reach the packages")
	for _, p := range all {
		for _, b := range breaches(p) {
			t.Error(b)
		}
	}
}

func names(all []pack) (s []string) {
	for _, p := range all {
		s = append(s, p.path)
	}
	return s
}

// Every package that a row allows must have a row itself, or a misspelled
// name would allow nothing and refuse nothing.
func TestPolicyIsClosed(t *testing.T) {
	for pkg, r := range policy {
		for _, m := range r.may {
			_, ok := policy[m]
			assert.True(t, ok || m == "*", "%s: %s has no row", pkg, m)
		}
	}
}

// The arrows of the table have no circle, or it would not say which way the
// packages lean.
func TestPolicyHasNoCircle(t *testing.T) {
	state := map[string]int{} // 1: being looked at, 2: done
	var look func(pkg string)
	look = func(pkg string) {
		require.NotEqual(t, 1, state[pkg], "a circle through %s", pkg)
		if state[pkg] == 2 {
			return
		}
		state[pkg] = 1
		for _, m := range policy[pkg].may {
			if m != "*" {
				look(m)
			}
		}
		state[pkg] = 2
	}
	for pkg := range policy {
		look(pkg)
	}
}
