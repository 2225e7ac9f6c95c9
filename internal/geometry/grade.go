package geometry

import (
	"errors"
	"fmt"
)

// GradeWord says a grade of the five-grade impairment scale of ITU-R BT.500
// (memory).
func GradeWord(grade int) (string, error) {
	words := []string{"very annoying", "annoying", "slightly annoying", "perceptible, but not annoying", "imperceptible"}
	if grade < 1 || grade > len(words) {
		return "", fmt.Errorf("%d is no grade: 5 imperceptible, 4 perceptible but not annoying, 3 slightly annoying, 2 annoying, 1 very annoying", grade)
	}
	return words[grade-1], nil
}

// A Graded zone is what an eye says of it; Field is the color that was shown,
// where there was one.
type Graded struct {
	Zone, Field string
	Grade       int
}

// A Grading sums up graded zones.
type Grading struct {
	Worst []Graded // all with the lowest grade, in the order given
	Grade int      // the lowest
	Mean  float64
	Words string // of the lowest grade
	N     int
}

// SumUp finds the worst zones. A picture is as good as its worst zone; the mean
// only tells two pictures with equal worst zones apart.
func SumUp(graded []Graded) (*Grading, error) {
	if len(graded) == 0 {
		return nil, errors.New("no zone was graded: give zones and grades, such as center 5")
	}
	s := &Grading{N: len(graded)}
	for _, g := range graded {
		if _, err := ParseZone(g.Zone); err != nil {
			return nil, err
		}
		word, err := GradeWord(g.Grade)
		if err != nil {
			return nil, fmt.Errorf("zone %s: %w", g.Zone, err)
		}
		if s.Worst == nil || g.Grade < s.Grade {
			s.Worst, s.Grade, s.Words = nil, g.Grade, word
		}
		if g.Grade == s.Grade {
			s.Worst = append(s.Worst, g)
		}
		s.Mean += float64(g.Grade) / float64(len(graded))
	}
	return s, nil
}
