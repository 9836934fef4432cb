// Package report writes a case down for people.
package report

import (
	"context"
	"fmt"
	"strings"

	"narrows/session"
)

// Markdown writes the entries of a case as a list, in the order in which they
// were made. The error is one of reading the case.
func Markdown(c *session.Open) (string, error) {
	v, err := c.Do(context.Background(), session.Parse("log"))
	if err != nil {
		return "", err
	}
	var b strings.Builder
	fmt.Fprintf(&b, "# Case %s: %s\n\n", c.ID, c.Engine().Sheet().Title)
	for _, l := range v.Log {
		text := l.Text
		if l.Undone {
			text = "~~" + text + "~~"
		}
		fmt.Fprintf(&b, "%d. %s %s\n", l.Seq, l.Time, text)
	}
	return b.String(), nil
}
