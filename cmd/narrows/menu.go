package main

import (
	"strings"
	"unicode/utf8"

	"github.com/c-bata/go-prompt"
)

// maxMenu is how many entries of the menu are shown at once.
const maxMenu = 6

// look is how the prompt is coloured: readable on dark and light grounds.
func look() []prompt.Option {
	return []prompt.Option{
		prompt.OptionPrefixTextColor(prompt.DarkGreen),
		prompt.OptionPreviewSuggestionTextColor(prompt.DefaultColor),
		prompt.OptionSuggestionTextColor(prompt.Black),
		prompt.OptionSuggestionBGColor(prompt.LightGray),
		prompt.OptionDescriptionTextColor(prompt.DarkBlue),
		prompt.OptionDescriptionBGColor(prompt.LightGray),
		prompt.OptionSelectedSuggestionTextColor(prompt.White),
		prompt.OptionSelectedSuggestionBGColor(prompt.DarkBlue),
		prompt.OptionSelectedDescriptionTextColor(prompt.White),
		prompt.OptionSelectedDescriptionBGColor(prompt.DarkBlue),
		prompt.OptionScrollbarThumbColor(prompt.DarkGray),
		prompt.OptionScrollbarBGColor(prompt.LightGray),
	}
}

// menu is the library's completer: ours, within what can be drawn.
func (r *promptReader) menu(d prompt.Document) []prompt.Suggest {
	if r.complete == nil || r.ending || strings.TrimSpace(d.Text) == "" {
		return nil
	}
	cols, rows := r.keys.window()
	const leastEntry = 6 // narrower ones are left out, and scrolling through nothing panics
	below := rows - 2 - cells(r.prefix+d.Text)/cols
	if below < 1 || cols-cells(r.prefix)-1 < leastEntry {
		return nil
	}
	r.set(prompt.OptionMaxSuggestion(min(menuRows(rows), uint16(min(below, maxMenu)))))
	var entries []prompt.Suggest
	for _, s := range r.complete(d.Text, utf8.RuneCountInString(d.TextBeforeCursor())) {
		entries = append(entries, prompt.Suggest{Text: cleanText(s.Text), Description: cleanText(s.Note)})
	}
	return entries
}

// menuRows is how many entries of the menu a window of so many rows can show.
func menuRows(rows int) uint16 { return uint16(min(maxMenu, max(rows-4, 1))) }

// cells is the width of text on the screen, as the library counts it.
func cells(text string) int {
	b := prompt.NewBuffer()
	b.InsertText(text, false, true)
	return b.DisplayCursorPosition()
}

// cleanPrefix takes escape sequences and control characters out of a prefix:
// the library counts them as visible letters.
func cleanPrefix(prefix string) string {
	var clean strings.Builder
	for b := []byte(prefix); len(b) > 0; {
		if n := printable(b); n > 0 {
			clean.WriteString(cleanText(string(b[:n])))
			b = b[n:]
			continue
		}
		_, taken := splitKey(b)
		if taken == 0 {
			break // it ends in the middle of a sequence or a letter
		}
		b = b[taken:]
	}
	return clean.String()
}
