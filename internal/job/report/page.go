package report

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"
	"time"
)

//go:embed page.css
var pageStyle string

//go:embed parts.html
var pageParts string

// frame is what every page has around it.
type frame struct {
	Title    string
	Style    template.CSS // with the title on top of every printed page
	Invented string
	Notes    []string
	Program  string
	Printed  string
}

func newFrame(title, program string, now time.Time) frame {
	f := frame{Title: title, Style: template.CSS(strings.Replace(pageStyle, "TITLE", cssText(title), 1)), Program: or(program, "backporch")}
	if !now.IsZero() {
		f.Printed = minute(now)
	}
	return f
}

// cssText is text inside a string of a style sheet: whatever is no letter or
// digit is escaped, so that it can end neither the string nor the style.
func cssText(s string) string {
	var b strings.Builder
	for _, r := range s {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == ' ' {
			b.WriteRune(r)
			continue
		}
		fmt.Fprintf(&b, "\\%06x ", r) // the space ends the escape and is not shown
	}
	return b.String()
}

// coded is text whose words between back quotes, which are commands, are set as
// code.
func coded(s string) template.HTML {
	parts := strings.Split(s, "`")
	if len(parts)%2 == 0 { // one without its other half
		return template.HTML(template.HTMLEscapeString(s))
	}
	var b strings.Builder
	for i, p := range parts {
		p = template.HTMLEscapeString(p)
		if i%2 == 1 {
			p = "<code>" + p + "</code>"
		}
		b.WriteString(p)
	}
	return template.HTML(b.String())
}

// execute writes a page whose template stands in text.
func execute(w io.Writer, text string, data any) error {
	t, err := template.New("page").Funcs(template.FuncMap{"coded": coded}).Parse(pageParts)
	if err != nil {
		return err
	}
	if _, err := t.Parse(text); err != nil {
		return err
	}
	var b bytes.Buffer // a page that fails halfway is not written
	if err := t.Execute(&b, data); err != nil {
		return err
	}
	_, err = w.Write(b.Bytes())
	return err
}
