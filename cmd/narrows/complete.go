package main

import "narrows/session"

// completing makes the menu of the prompt from a case as it stands.
func completing(c *session.Case) completer {
	return func(line string, cursor int) []suggestion {
		var out []suggestion
		for _, s := range c.Complete(line, cursor) {
			out = append(out, suggestion{Text: s.Text, Note: s.Note})
		}
		return out
	}
}
