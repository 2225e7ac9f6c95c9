package job

import (
	"encoding/json"
	"strings"
)

// Below, data is JSON that is known to be valid, so that every walk ends where
// it should. Places are counted in bytes from the start of data: splicing and
// messages need them, and encoding/json does not tell them.

// A member is one key of an object with the place of its value.
type member struct {
	key        string
	at         int // of the key
	start, end int // of the value
}

// members lists the members of the object that starts at i, in order, and says
// where it ends. It is empty for anything that is not an object.
func members(data []byte, i int) (all []member, end int) {
	if i = skipSpace(data, i); data[i] != '{' {
		return nil, skipValue(data, i)
	}
	for i = skipSpace(data, i+1); data[i] != '}'; i = skipSpace(data, i) {
		if data[i] == ',' {
			i = skipSpace(data, i+1)
		}
		m := member{at: i}
		i = skipValue(data, i)
		m.key = text(data[m.at:i])
		i = skipSpace(data, i) + 1 // the colon
		m.start = skipSpace(data, i)
		m.end = skipValue(data, m.start)
		i = m.end
		all = append(all, m)
	}
	return all, i + 1
}

// elements lists the places of the elements of the list that starts at i. It is
// empty for anything that is not a list.
func elements(data []byte, i int) (all [][2]int) {
	if i = skipSpace(data, i); data[i] != '[' {
		return nil
	}
	for i = skipSpace(data, i+1); data[i] != ']'; i = skipSpace(data, i) {
		if data[i] == ',' {
			i = skipSpace(data, i+1)
		}
		end := skipValue(data, i)
		all = append(all, [2]int{i, end})
		i = end
	}
	return all
}

// skipSpace returns the place of the first byte from i on that is not blank, or
// len(data).
func skipSpace(data []byte, i int) int {
	for i < len(data) && strings.IndexByte(" \t\r\n", data[i]) >= 0 {
		i++
	}
	return i
}

// skipValue returns the end of the value that starts at i.
func skipValue(data []byte, i int) int {
	switch data[i] {
	case '"':
		return skipString(data, i)
	case '{', '[':
		for depth := 0; ; i++ {
			switch data[i] {
			case '"':
				i = skipString(data, i) - 1
			case '{', '[':
				depth++
			case '}', ']':
				if depth--; depth == 0 {
					return i + 1
				}
			}
		}
	}
	for i < len(data) && strings.IndexByte(" \t\r\n,]}", data[i]) < 0 {
		i++
	}
	return i
}

// skipString returns the end of the string that starts at i.
func skipString(data []byte, i int) int {
	for i++; data[i] != '"'; i++ {
		if data[i] == '\\' {
			i++
		}
	}
	return i + 1
}

// text returns the string that raw spells.
func text(raw []byte) string {
	if s := raw[1 : len(raw)-1]; !strings.Contains(string(s), `\`) {
		return string(s)
	}
	var s string
	_ = json.Unmarshal(raw, &s) // valid, and a string
	return s
}

// twice finds a key that an object within data holds twice: what it means is
// anybody's guess. Keys that differ in capitals alone are the same, as for
// encoding/json.
func twice(data []byte, i int) (m member, found bool) {
	if i = skipSpace(data, i); data[i] == '[' {
		for _, e := range elements(data, i) {
			if m, found = twice(data, e[0]); found {
				return m, true
			}
		}
		return m, false
	}
	all, _ := members(data, i)
	for n, m := range all {
		for _, o := range all[:n] {
			if strings.EqualFold(o.key, m.key) {
				return m, true
			}
		}
		if c := data[m.start]; c == '{' || c == '[' {
			if in, found := twice(data, m.start); found {
				return in, true
			}
		}
	}
	return m, false
}

// find returns the member with that key.
func find(all []member, key string) (member, bool) {
	for _, m := range all {
		if strings.EqualFold(m.key, key) {
			return m, true
		}
	}
	return member{}, false
}

// valueAt returns the start of the innermost value, of the one that starts at i,
// that the byte before place belongs to.
func valueAt(data []byte, i, place int) int {
	all, _ := members(data, i)
	for _, m := range all {
		if m.start < place && place <= m.end {
			return valueAt(data, m.start, place)
		}
	}
	for _, e := range elements(data, i) {
		if e[0] < place && place <= e[1] {
			return valueAt(data, e[0], place)
		}
	}
	return i
}
