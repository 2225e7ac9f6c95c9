package arch

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"backporch/internal/testtable"

	"github.com/stretchr/testify/require"
)

// longest is how many lines a file may have that is not a test: one idea.
const longest = 500

// sourceFile is a text file of the module, by its path below the root.
type sourceFile struct {
	path string
	text []byte
}

// sources reads every text file that people write: Go, documents, scripts,
// tables. Pictures, binaries and what a fuzzer kept are not among them.
func sources(root string) ([]sourceFile, error) {
	var all []sourceFile
	err := filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, p)
		if err != nil {
			return err
		}
		rel = filepath.ToSlash(rel)
		if d.IsDir() {
			if rel == ".git" || strings.HasSuffix(rel, "testdata/fuzz") || ignored(root, rel) {
				return filepath.SkipDir
			}
			return nil
		}
		switch filepath.Ext(p) {
		case ".go", ".md", ".mod", ".txtar", ".csv", ".toml", ".html", ".css", ".js", ".sh", ".yml", ".yaml":
		default:
			if !strings.HasPrefix(rel, ".") { // .ci/run and its like have no extension
				return nil
			}
		}
		text, err := os.ReadFile(p)
		if err != nil {
			return err
		}
		all = append(all, sourceFile{rel, text})
		return nil
	})
	return all, err
}

// machinePaths finds the places of one machine: they mean nothing on another.
// The pattern is put together so that it does not find itself.
func machinePaths() *regexp.Regexp {
	at := func(folder string) string { return "/" + folder }
	return regexp.MustCompile(`(^|[^\w.~/-])(` + strings.Join([]string{
		at("work/"), at("farm/"), at("root/"), at(`tmp/\w`), at(`home/\w`), at(`Users/\w`), `[A-Z]:\\Users\\`,
	}, "|") + `)`)
}

// workplace finds talk of how the project came about, which belongs to its
// history and not to its files.
func workplace() *regexp.Regexp {
	return regexp.MustCompile(`(?i)\b(issue` + `s?\s+#?\d|#\d+\s+issue|this\s+sess` + `ion\b|trans` + `cripts?\b)`)
}

// faults says what is wrong with one file.
func faults(f sourceFile) (bad []string) {
	say := func(format string, args ...any) { bad = append(bad, f.path+": "+fmt.Sprintf(format, args...)) }
	paths, talk := machinePaths(), workplace()
	for i, line := range bytes.Split(f.text, []byte("\n")) {
		if m := paths.Find(line); m != nil {
			say("line %d: %q is a path of one machine", i+1, m)
		}
		if m := talk.Find(line); m != nil {
			say("line %d: %q speaks of the workplace", i+1, m)
		}
	}
	if !strings.HasSuffix(f.path, ".go") {
		return bad
	}
	test := strings.HasSuffix(f.path, "_test.go")
	if n := bytes.Count(f.text, []byte("\n")); n > longest && !test {
		say("%d lines; more than %d is more than one idea", n, longest)
	}
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, f.path, f.text, parser.SkipObjectResolution)
	if err != nil {
		say("%v", err)
		return bad
	}
	line := func(n ast.Node) int { return set.Position(n.Pos()).Line }
	for _, d := range file.Decls {
		switch d := d.(type) {
		case *ast.FuncDecl:
			if d.Recv == nil && d.Name.Name == "init" {
				say("line %d: an init function", line(d))
			}
		case *ast.GenDecl:
			if d.Tok != token.VAR || test {
				continue
			}
			for _, c := range calls(d) {
				if slow(c) {
					say("line %d: %s at package level is paid by every start", line(c), calleeName(c))
				}
			}
		}
	}
	if test || strings.HasPrefix(f.path, "cmd/") {
		return bad
	}
	for _, c := range calls(file) {
		switch name := calleeName(c); name {
		case "os.Exit", "log.Fatal", "log.Fatalf", "log.Fatalln":
			say("line %d: %s outside cmd", line(c), name)
		}
	}
	return bad
}

// calls returns the calls in n, leaving out those inside function literals
// when n is a declaration of variables: they do not run at the start.
func calls(n ast.Node) (all []*ast.CallExpr) {
	_, variables := n.(*ast.GenDecl)
	ast.Inspect(n, func(n ast.Node) bool {
		if _, ok := n.(*ast.FuncLit); ok && variables {
			return false
		}
		if c, ok := n.(*ast.CallExpr); ok {
			all = append(all, c)
		}
		return true
	})
	return all
}

// calleeName returns "pkg.Func" for a plain call of another package.
func calleeName(c *ast.CallExpr) string {
	s, ok := c.Fun.(*ast.SelectorExpr)
	if !ok {
		return ""
	}
	x, ok := s.X.(*ast.Ident)
	if !ok {
		return ""
	}
	return x.Name + "." + s.Sel.Name
}

// slow reports whether a call compiles or parses something large.
func slow(c *ast.CallExpr) bool {
	name := calleeName(c)
	for _, p := range []string{"regexp.", "template.", "opentype.", "sfnt."} {
		if strings.HasPrefix(name, p) {
			return true
		}
	}
	return false
}

func TestSources(t *testing.T) {
	all, err := sources(testtable.Root(t))
	require.NoError(t, err)
	require.NotEmpty(t, all)
	for _, f := range all {
		for _, b := range faults(f) {
			t.Error(b)
		}
	}
}
