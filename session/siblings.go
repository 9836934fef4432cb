package session

import (
	"fmt"

	"narrows/symptoms/measure"
)

// siblingsWords compares what a check has read at its places with one another, by
// the sheet's limit for that; "" where there is none, or fewer than two were read.
func (c *Case) siblingsWords(check string) string {
	var all []measure.Sibling
	var limit *measure.Limit
	titles := make(map[string]string)
	uses := c.b.e.ChecksOf(check)
	for _, u := range uses {
		use, ok := c.b.e.Reading(u)
		so, read := c.s.read[checkAt{check, placeKey(u.Place)}]
		if !ok || !read || use.Siblings == nil {
			continue
		}
		limit = use.Siblings
		titles[placeKey(u.Place)] = c.b.e.PlaceTitle(u.Place)
		all = append(all, measure.Sibling{Position: placeKey(u.Place), Reading: so.reading()})
	}
	if len(all) < 2 {
		return ""
	}
	together, err := measure.Compare(limit.Siblings, all)
	if err != nil {
		return ""
	}
	v, err := houseRule().JudgeSiblings(together, *limit)
	if err != nil {
		return ""
	}
	s := fmt.Sprintf("%s: %s (lowest %s, highest %s): %s; limit %s.", capital(string(together.Rule)),
		c.inWords(together.Value, together.Unit, 3), titles[together.Lowest], titles[together.Highest], v.State, c.limitWords(*limit))
	if missing := len(uses) - len(all); missing > 0 {
		s += fmt.Sprintf(" Not read yet: %d of %d.", missing, len(uses))
	}
	return s
}
