package render

import (
	"fmt"
	"strings"

	"backporch/pattern"
)

// IdentAuto is what the caption "auto" stands for.
const IdentAuto = "{pattern} {raster} {setup}"

// ident returns the pattern with the caption that the request asks for, its
// {pattern}, {raster} and {setup} filled in.
func (q *Request) ident() (pattern.Pattern, error) {
	if q.Ident == "" {
		return q.Pattern, nil
	}
	text := q.Ident
	if text == "auto" {
		text = IdentAuto
	}
	text = strings.NewReplacer("{pattern}", q.Spec, "{raster}", q.Raster.Name, "{setup}", SetupName(q.Plan)).Replace(text)
	if i := strings.IndexByte(text, '{'); i >= 0 {
		word, _, ok := strings.Cut(text[i:], "}")
		if ok {
			word += "}"
		}
		return nil, fmt.Errorf("ident: %s stands for nothing; use {pattern}, {raster} or {setup}", word)
	}
	return pattern.WithIdent(q.Pattern, text), nil
}
