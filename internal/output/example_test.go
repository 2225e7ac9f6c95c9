package output_test

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"backporch/internal/output"
)

func ExampleFile() {
	dir, err := os.MkdirTemp("", "example")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "note.txt")
	write := func(w io.Writer) error {
		_, err := io.WriteString(w, "Bench A: bars seen on composite\n")
		return err
	}
	for range 2 {
		err := output.File(context.Background(), path, false, os.Stdout, write)
		if err != nil {
			fmt.Println(strings.ReplaceAll(err.Error(), dir, "DIR"))
		}
	}
	fmt.Println(output.File(context.Background(), "-", false, os.Stdout, write))
	// Output:
	// DIR/note.txt already exists; use --force to overwrite it
	// Bench A: bars seen on composite
	// <nil>
}

func ExampleNewFiles() {
	dir, err := os.MkdirTemp("", "example")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(dir)
	s, err := output.NewFiles(context.Background(), dir, false, "line.csv", "line.json")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer s.Abort()
	if err := s.WriteFile("line.csv", []byte("0,0\n")); err != nil {
		fmt.Println(err)
	}
	err = s.Commit() // refused: half of the pair is missing
	fmt.Println(strings.ReplaceAll(err.Error(), dir, "DIR"))
	left, err := os.ReadDir(dir)
	fmt.Println(len(left), err)
	// Output:
	// DIR/line.json was announced but not made; nothing was changed under the names line.csv and line.json
	// 0 <nil>
}
