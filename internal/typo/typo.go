// Package typo finds the word that somebody meant.
package typo

import "strings"

// Suggest returns ` (did you mean x?)` for the nearest of names within two
// slips of the finger, or "".
func Suggest(name string, names []string) string {
	best, least := "", 3
	for _, n := range names {
		d := slips(strings.ToLower(name), n)
		if name != "" && strings.HasPrefix(n, strings.ToLower(name)) {
			d = min(d, 1)
		}
		if d < least && n != "" {
			best, least = n, d
		}
	}
	if best == "" {
		return ""
	}
	return " (did you mean " + best + "?)"
}

// slips is the number of letters to insert, delete or replace.
func slips(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := diagonal
			if a[i] != b[j] {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
