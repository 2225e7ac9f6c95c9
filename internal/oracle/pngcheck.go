package oracle

import (
	"bufio"
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// Chunk is one chunk of a PNG as pngcheck reports it.
type Chunk struct {
	Type   string
	Offset int // of its type in the file, in bytes
	Length int // of its data
	// Detail is what pngcheck says of its contents, lines joined by a line
	// end, such as "5 x 3 image, 1-bit palette, non-interlaced" for IHDR or
	// "11x12 pixels/unit (11:12)" for pHYs.
	Detail string
}

// CheckPNG lets pngcheck judge a PNG: the order, sizes and sums of the chunks.
// It returns them in order. The test fails when pngcheck finds anything wrong.
// Whether the compressed data fill the picture it does not tell; ReadPNG does.
func CheckPNG(t testing.TB, file []byte) []Chunk {
	t.Helper()
	path := Need(t, "pngcheck")
	chunks, err := checkPNG(t, path, file)
	if err != nil {
		t.Fatalf("oracle: %v", err)
	}
	return chunks
}

func checkPNG(t testing.TB, path string, file []byte) ([]Chunk, error) {
	t.Helper()
	// From a file, since offsets are wrong when it reads a pipe.
	name := filepath.Join(t.TempDir(), "picture.png")
	if err := os.WriteFile(name, file, 0o600); err != nil {
		return nil, err
	}
	out, err := exec.CommandContext(t.Context(), path, "-vt", name).CombinedOutput()
	text := strings.ReplaceAll(string(out), name, "picture.png")
	if err != nil || !strings.Contains(text, "No errors detected in picture.png") {
		return nil, fmt.Errorf("pngcheck finds faults (%v):\n%s", err, text)
	}
	return parseChunks(text)
}

// parseChunks reads the lines of pngcheck -v:
//
//	chunk pHYs at offset 0x00025, length 9: 11x12 pixels/unit (11:12)
//	  more on it, indented
func parseChunks(text string) ([]Chunk, error) {
	head := regexp.MustCompile(`^  chunk (\S+) at offset (0x[0-9a-f]+), length (\d+)(?:[:,] (.*))?$`)
	var all []Chunk
	lines := bufio.NewScanner(bytes.NewBufferString(text))
	for lines.Scan() {
		line := lines.Text()
		if m := head.FindStringSubmatch(line); m != nil {
			offset, err := strconv.ParseInt(m[2], 0, 64)
			if err != nil {
				return nil, fmt.Errorf("pngcheck: %q: %w", line, err)
			}
			length, err := strconv.Atoi(m[3])
			if err != nil {
				return nil, fmt.Errorf("pngcheck: %q: %w", line, err)
			}
			all = append(all, Chunk{m[1], int(offset), length, m[4]})
			continue
		}
		more, indented := strings.CutPrefix(line, "    ")
		if !indented || len(all) == 0 {
			continue
		}
		last := &all[len(all)-1]
		if last.Detail != "" {
			last.Detail += "\n"
		}
		last.Detail += more
	}
	if len(all) == 0 {
		return nil, fmt.Errorf("pngcheck names no chunk:\n%s", text)
	}
	return all, lines.Err()
}
