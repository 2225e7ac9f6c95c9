package table

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
)

// Rational is an exact figure as a string, such as "315/88": text in all forms.
type Rational string

// Shortest, as a number of decimals, asks for as few digits as give back the
// same float64.
const Shortest = -1

// A value of a cell or field is one of
//
//	nil       does not exist: "-", an empty CSV field, null
//	string    control characters are shown as U+FFFD in text
//	int       and the other signed and unsigned integers
//	float64   NaN and infinities are as nil
//	bool      yes or no in text, true or false elsewhere
//	Rational  an exact figure
//	[]string  joined by ", "; an array in JSON
//
// normal maps all integers to int64 and uint64 and non-finite floats to nil; ok
// is false for other types.
func normal(v any) (n any, ok bool) {
	switch v := v.(type) {
	case nil, string, bool, Rational, []string, int64, uint64:
		return v, true
	case int:
		return int64(v), true
	case int8:
		return int64(v), true
	case int16:
		return int64(v), true
	case int32:
		return int64(v), true
	case uint:
		return uint64(v), true
	case uint8:
		return uint64(v), true
	case uint16:
		return uint64(v), true
	case uint32:
		return uint64(v), true
	case float32:
		return normal(float64(v))
	case float64:
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, true
		}
		return v, true
	}
	return nil, false
}

// mustNormal is normal for a caller whose types are fixed in its code.
func mustNormal(where string, v any) any {
	n, ok := normal(v)
	if !ok {
		panic(fmt.Sprintf("table: %s has a value of type %T, which no form can show", where, v))
	}
	return n
}

// numeric reports whether a normal value is lined up on the right.
func numeric(v any) bool {
	switch v.(type) {
	case int64, uint64, float64:
		return true
	}
	return false
}

// digits prints f with a fixed number of decimals, rounded to nearest from the
// exact binary value. There is no negative zero: what rounds to zero has no sign.
func digits(f float64, decimals int) string {
	if decimals < 0 {
		decimals = Shortest
	}
	s := strconv.FormatFloat(f, 'f', decimals, 64)
	if strings.HasPrefix(s, "-") && strings.Trim(s, "-0.") == "" {
		return s[1:]
	}
	return s
}

// figure prints a normal number.
func figure(v any, decimals int) string {
	switch v := v.(type) {
	case int64:
		return strconv.FormatInt(v, 10)
	case uint64:
		return strconv.FormatUint(v, 10)
	case float64:
		return digits(v, decimals)
	}
	return ""
}

// textOf is a normal value as a person reads it.
func textOf(v any, decimals int) string {
	switch v := v.(type) {
	case nil:
		return "-"
	case string:
		return clean(v)
	case Rational:
		return clean(string(v))
	case []string:
		return clean(strings.Join(v, ", "))
	case bool:
		if v {
			return "yes"
		}
		return "no"
	}
	return figure(v, decimals)
}

// csvOf is a normal value as a CSV field.
func csvOf(v any, decimals int) string {
	switch v := v.(type) {
	case nil:
		return ""
	case string:
		return v
	case Rational:
		return string(v)
	case []string:
		return strings.Join(v, ", ")
	case bool:
		return strconv.FormatBool(v)
	}
	return figure(v, decimals)
}

// appendJSON appends a normal value.
func appendJSON(dst []byte, v any, decimals int) []byte {
	switch v := v.(type) {
	case nil:
		return append(dst, "null"...)
	case string:
		return appendString(dst, v)
	case Rational:
		return appendString(dst, string(v))
	case []string:
		dst = append(dst, '[')
		for i, s := range v {
			if i > 0 {
				dst = append(dst, ',')
			}
			dst = appendString(dst, s)
		}
		return append(dst, ']')
	case bool:
		return strconv.AppendBool(dst, v)
	}
	return append(dst, figure(v, decimals)...)
}

// appendString appends a JSON string. Unlike json.Marshal it leaves <, > and &
// as they are: this is not for HTML.
func appendString(dst []byte, s string) []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(s); err != nil {
		panic("table: a string cannot fail to encode: " + err.Error())
	}
	return append(dst, bytes.TrimSuffix(b.Bytes(), []byte("\n"))...)
}

// clean replaces what would move the cursor or recolor a terminal: file names
// and notes come from outside. Line breaks stay; tabs become spaces.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n':
			return r
		case r == '\t':
			return ' '
		case unicode.IsControl(r) || r == '\u2028' || r == '\u2029' ||
			r >= '\u202a' && r <= '\u202e' || r >= '\u2066' && r <= '\u2069': // bidi overrides
			return unicode.ReplacementChar
		}
		return r
	}, s)
}
