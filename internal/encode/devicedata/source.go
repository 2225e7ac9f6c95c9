package devicedata

import (
	"fmt"
	"strconv"
	"strings"
)

// perLine is how many bytes stand on a line of source.
const perLine = 16

// header returns a C header that can be included more than once: sizes as
// macros, data as arrays of unsigned char, in the C of 1989.
func header(id string, comment []string, parts []part, constants []constant) []byte {
	macro := strings.ToUpper(id)
	var b []byte
	b = append(b, "/*\n"...)
	for _, l := range comment {
		b = append(append(b, strings.TrimRight(" * "+l, " ")...), '\n')
	}
	b = fmt.Appendf(b, " */\n#ifndef %s_H\n#define %s_H\n\n", macro, macro)
	for _, c := range constants {
		b = fmt.Appendf(b, "#define %s_%s %d\n", macro, c.name, c.value)
	}
	for _, p := range parts {
		b = fmt.Appendf(b, "\nstatic const unsigned char %s_%s[%s_%s_SIZE] = {\n", id, p.name, macro, strings.ToUpper(p.name))
		b = numbers(b, "\t", ",\n", p.data)
		b = append(b, "};\n"...)
	}
	return append(b, "\n#endif\n"...)
}

// assembler returns source in the form that assemblers for small processors
// share: NAME = value, labels with a colon, .byte with decimal numbers, which
// are spelled alike everywhere, and comments after a semicolon.
func assembler(id string, comment []string, parts []part, constants []constant) []byte {
	var b []byte
	for _, l := range append(comment, "",
		"Form: NAME = value, labels with a colon, .byte with decimal numbers, comments",
		"after a semicolon. Where yours has another word for .byte (db, dc.b, !byte),",
		"replace it; or take the bytes from the files with its word for that, often",
		".incbin, in place of the .byte lines.") {
		b = append(append(b, strings.TrimRight("; "+l, " ")...), '\n')
	}
	b = append(b, '\n')
	for _, c := range constants {
		b = fmt.Appendf(b, "%s_%s = %d\n", strings.ToUpper(id), c.name, c.value)
	}
	for _, p := range parts {
		b = fmt.Appendf(b, "\n%s_%s:\n; .incbin \"%s\"\n", id, p.name, p.file)
		b = numbers(b, "\t.byte ", "\n", p.data)
	}
	return b
}

// numbers appends data in lines, each with what stands before and after it.
func numbers(b []byte, before, after string, data []byte) []byte {
	for i := 0; i < len(data); i += perLine {
		b = append(b, before...)
		for k, v := range data[i:min(i+perLine, len(data))] {
			if k > 0 {
				b = append(b, ',')
			}
			b = strconv.AppendUint(b, uint64(v), 10)
		}
		b = append(b, after...)
	}
	return b
}
