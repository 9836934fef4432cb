package knowledge

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Places returns the places of a set in order; the zero Place alone for "".
func (e *Engine) Places(set string) []Place { return e.pack.lay.places(set) }

// Related returns the places of a set that stand in relation with a place,
// through serves in either direction: the place itself in its own set, every
// place as seen from the engine as a whole, the engine for "".
func (e *Engine) Related(from Place, set string) []Place {
	lay := e.pack.lay
	i, ok := lay.index(from)
	if !ok || set != "" && lay.sets[set] == nil {
		return nil
	}
	var out []Place
	for _, j := range lay.related(from.Set, i, set) {
		out = append(out, lay.place(set, j))
	}
	return out
}

// PlaceTitle names a place in words: "carburettor 3", "the engine".
func (e *Engine) PlaceTitle(p Place) string { return e.pack.lay.title(p) }

func (l *layout) title(p Place) string {
	if p.Set == "" {
		return "the engine"
	}
	if s := l.sets[p.Set]; s != nil {
		return s.Title + " " + p.Member
	}
	return p.Set + " " + p.Member
}

// lone reports whether a place needs no naming: it is the engine as a whole, or
// the only one of its set.
func (l *layout) lone(at Place) bool { return at.Set == "" || l.size(at.Set) == 1 }

// titles names an event in full and in few words.
func (l *layout) titles(def *EventDef, at Place) (title, short string) {
	if def.Kind != KindMode {
		return l.titleAt(def.Title, at), l.titleAt(def.Title, at)
	}
	item, mode := def.Mode.Item, def.Mode
	short = item.Title
	if !l.lone(at) {
		short += " " + at.Member
	}
	return l.titleAt(item.Title, at) + ": " + mode.Title, short + " " + strings.ReplaceAll(mode.ID, "_", " ")
}

// titleAt joins a title with a place: "pilot jet, carburettor 3", but
// "ignition coil A" where the title already ends in the name of the set.
func (l *layout) titleAt(title string, at Place) string {
	if l.lone(at) {
		return title
	}
	set := strings.ToLower(l.sets[at.Set].Title)
	if low := strings.ToLower(title); low == set || strings.HasSuffix(low, " "+set) {
		return title + " " + at.Member
	}
	return title + ", " + l.title(at)
}

// useTitle joins the title of a check or a repair with its place.
func (l *layout) useTitle(title string, at Place) string {
	if l.lone(at) {
		return title
	}
	return title + ", " + l.title(at)
}

// PlaceError says that words name no place, or more than one: those they could
// mean are the Candidates.
type PlaceError struct {
	Words      string
	What, Mend string
	Candidates []Place
}

func (e *PlaceError) Error() string { return e.What + "; " + e.Mend }

// How well words name a set, best first.
const (
	exactly = iota
	begun
	nearly
	unnamed
	notAtAll
)

// ParsePlace reads a place as a mechanic says it: "cyl 3", "carburettor 3",
// "coil A", "carb:3", "#3". Only the sets named are meant; without any, all
// are. A set may be shortened or slightly misspelt. A bare member stands for
// any set; where several have it, or none, the error is a *PlaceError.
func (e *Engine) ParsePlace(words string, sets ...string) (Place, error) {
	lay := e.pack.lay
	best := notAtAll
	var found []Place
	for _, s := range lay.order {
		if len(sets) > 0 && !slices.Contains(sets, s.ID) {
			continue
		}
		for _, m := range s.Members {
			rest, ok := cutMember(words, m)
			if !ok {
				continue
			}
			switch r := rankSet(rest, s); {
			case r == notAtAll || r > best:
			case r < best:
				best, found = r, []Place{{s.ID, m}}
			default:
				found = append(found, Place{s.ID, m})
			}
		}
	}
	if len(found) == 1 {
		return found[0], nil
	}
	return Place{}, lay.placeError(words, sets, found)
}

func (l *layout) placeError(words string, sets []string, found []Place) error {
	err := &PlaceError{Words: words, Candidates: found}
	if len(found) > 1 {
		names := make([]string, len(found))
		for i, p := range found {
			names[i] = l.title(p)
		}
		err.What = fmt.Sprintf("%s can mean %s", quote(words), strings.Join(names, " or "))
		err.Mend = "say which"
		return err
	}
	var known []string
	for _, s := range l.order {
		if len(sets) == 0 || slices.Contains(sets, s.ID) {
			known = append(known, s.Title+" "+strings.Join(s.Members, ", "))
		}
	}
	err.What, err.Mend = "no place is called "+quote(words), "use one of: "+strings.Join(known, "; ")
	if len(known) == 0 {
		err.Mend = "this engine's pack has no places, leave it out"
	}
	return err
}

// cutMember takes the member's name from the end of the words; rest is what
// stands before it, which should name the set. "cyl3" is taken apart, "13" is
// not.
func cutMember(words, member string) (rest string, ok bool) {
	words, member = plain(words), strings.ToLower(member)
	rest, ok = strings.CutSuffix(words, member)
	if !ok {
		return "", false
	}
	last, _ := utf8.DecodeLastRuneInString(rest)
	first, _ := utf8.DecodeRuneInString(member)
	joined := unicode.IsDigit(last) || unicode.IsLetter(last) && !unicode.IsDigit(first)
	if rest != "" && joined {
		return "", false
	}
	rest = strings.TrimRight(rest, " :#.")
	for _, filler := range []string{"no", "number", "nr"} {
		if rest == filler {
			return "", true
		}
		rest = strings.TrimSuffix(rest, " "+filler)
	}
	return rest, true
}

// rankSet says how well words name a set.
func rankSet(words string, s *PositionSet) int {
	if words == "" {
		return unnamed
	}
	title := strings.ToLower(s.Title)
	names := append([]string{s.ID, title, strings.ReplaceAll(s.ID, "_", " ")}, strings.Fields(title)...)
	best := notAtAll
	for _, n := range names {
		switch {
		case words == n:
			return exactly
		case strings.HasPrefix(n, words), strings.TrimSuffix(words, "s") == n:
			best = min(best, begun)
		}
	}
	if best == notAtAll && nearest(words, names) != "" {
		return nearly
	}
	return best
}
