package device

import (
	"fmt"
	"strings"
)

// Template returns a commented file with every key: a profile that works as it
// stands, and the rest to be switched on.
func Template() string {
	var b strings.Builder
	b.WriteString(`# A profile of a playing device. Lines that begin with # are comments: take the
# sign away from a key to use it. Change what is here until it says what your
# device does; --device FILE.toml then reads it.
`)
	table := ""
	for _, k := range keys {
		name := k.Name
		if t, rest, ok := strings.Cut(name, "."); ok {
			if name = rest; t != table {
				table = t
				fmt.Fprintf(&b, "\n# [%s]\n", t)
			}
		}
		b.WriteString("\n")
		comment(&b, k.Meaning)
		comment(&b, "Value: "+k.Type+".")
		switch {
		case k.Required:
			comment(&b, "It must be there.")
		case k.Default != "":
			comment(&b, "Without it: "+k.Default+".")
		}
		sign := "# "
		if k.Template {
			sign = ""
		}
		fmt.Fprintf(&b, "%s%s = %s\n", sign, name, k.Example)
	}
	return b.String()
}

// comment writes a text as lines of at most 78 characters that begin with ##,
// so that they are not taken for keys.
func comment(b *strings.Builder, text string) {
	line := "##"
	for _, word := range strings.Fields(text) {
		if len(line)+1+len(word) > 78 {
			b.WriteString(line + "\n")
			line = "##"
		}
		line += " " + word
	}
	b.WriteString(line + "\n")
}
