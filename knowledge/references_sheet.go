package knowledge

import (
	"slices"

	"narrows/symptoms/measure"
	"narrows/symptoms/quantity"
)

// checkSheet checks a sheet by itself and, if its pack is known, against it.
func checkSheet(s *sheetFile) {
	for i := range s.sheet.Units {
		u := &s.sheet.Units[i]
		if d := s.f.dimension(u.Quantity); d != "" {
			u.In = s.f.unit(u.Unit, d)
		}
	}
	for _, l := range s.sheet.Limits {
		s.limit(l)
	}
	if s.pack == nil {
		return
	}
	s.againstReadings()
	for _, t := range s.sheet.Fitted {
		s.fitted(t)
	}
}

var siblingRules = []string{string(measure.LowestOverHighest), string(measure.HighestLessLowest), string(measure.BelowMean)}

func (s *sheetFile) limit(l *Limit) {
	before := len(s.f.list)
	if l.Siblings.ID != "" && !slices.Contains(siblingRules, l.Siblings.ID) {
		s.f.add(RuleUnknownWord, l.Siblings.Pos, s.f.meant(l.Siblings.ID, siblingRules, ""), "unknown rule for siblings %s", quote(l.Siblings.ID))
	}
	dim := s.f.dimension(l.Quantity)
	if len(s.f.list) > before || dim == "" {
		return
	}
	l.Of = measure.Limit{Name: l.ID, Quantity: dim, Siblings: measure.SiblingRule(l.Siblings.ID), Source: l.Source, Page: l.Page}
	x := amounts{f: s.f, dim: l.Of.Dimension()}
	for _, a := range []*Amount{&l.Min, &l.Max, &l.Nominal} {
		x.value(a)
	}
	if share, err := quantity.ParseFor(l.Tolerance.Text, quantity.Ratio); l.Tolerance.Text != "" && err == nil {
		l.Tolerance.Quantity = share
	}
	if l.Tolerance.IsZero() || l.Tolerance.Value <= 0 {
		x.spread(&l.Tolerance, "above 0", above0)
	}
	if !l.Min.IsZero() && !l.Max.IsZero() && l.Min.Base() >= l.Max.Base() {
		s.f.add(RuleLowAboveHigh, l.Max.Pos, "exchange them, or mend one", "the lowest, %s, is not below the highest, %s", l.Min.Text, l.Max.Text)
	}
	l.Of.Min, l.Of.Max, l.Of.Nominal, l.Of.Tolerance = l.Min.typed(), l.Max.typed(), l.Nominal.typed(), l.Tolerance.typed()
	shaped := l.Of.Kind() != measure.NoLimit && (l.Of.Nominal == nil || l.Of.Min == nil && l.Of.Max == nil)
	if len(s.f.list) > before || !shaped {
		return // the decoder has reported a limit that is given in no known way
	}
	if err := l.Of.Check(); err != nil {
		what, mend := cutAdvice(err.Error())
		s.f.add(RuleBadLimit, l.Pos, mend, "%s", what)
	}
}

// typed returns the quantity, or nil if none was given.
func (a *Amount) typed() *quantity.Quantity {
	if a.IsZero() {
		return nil
	}
	q := a.Quantity
	return &q
}

// againstReadings checks that limits are read by some check, of the quantity
// that the sheet gives, and that a nominal value is there where a check counts
// from it.
func (s *sheetFile) againstReadings() {
	var known names
	for _, k := range s.pack.pack.Checks {
		for _, r := range k.limits() {
			known.add(r.ID)
		}
		for _, step := range k.Steps {
			if step.Take != nil {
				s.taken(k, step.Take)
			}
		}
		if k.Reading != nil {
			s.reading(k)
		}
	}
	s.ledger(&known)
	for _, l := range s.sheet.Limits {
		if !known.has[l.ID] {
			s.f.add(RuleUnreadLimit, l.Pos, s.f.meant(l.ID, known.list, "take it out, or add the check to the pack"), "no check of pack %s reads against limit %s", s.pack.pack.ID, quote(l.ID))
		}
	}
}

// limits are those of a sheet that the check names.
func (k *Check) limits() []Ref {
	var all []Ref
	for _, s := range k.Steps {
		if s.Take != nil {
			all = append(all, s.Take.Limit)
		}
	}
	if k.Reading != nil {
		all = append(all, k.Reading.Limit, k.Reading.Siblings)
	}
	return slices.DeleteFunc(all, func(r Ref) bool { return r.ID == "" })
}

// taken checks the limit of a value that a check takes on the way.
func (s *sheetFile) taken(k *Check, t *Take) {
	l := s.sheet.Limit(t.Limit.ID)
	if l == nil {
		return
	}
	if l.Siblings.ID != "" {
		s.f.add(RuleSiblings, l.Siblings.Pos, "take siblings out, or take limit out of the value", "check %s judges the value %s against limit %s, which compares siblings", k.ID, t.Name, l.ID)
	}
	s.ofQuantity(k, l, t.Quantity)
}

// reading checks the limits that one check reads against.
func (s *sheetFile) reading(k *Check) {
	r := k.Reading
	if l := s.sheet.Limit(r.Limit.ID); l != nil {
		s.ofQuantity(k, l, r.Quantity)
		if l.Siblings.ID != "" {
			s.f.add(RuleSiblings, l.Siblings.Pos, "take siblings out, or name the limit under siblings in the pack's reading", "check %s judges each reading against limit %s, which compares siblings", k.ID, l.ID)
		}
	}
	if l := s.sheet.Limit(r.Siblings.ID); l != nil {
		s.ofQuantity(k, l, r.Quantity)
		if l.Siblings.ID == "" {
			s.f.add(RuleSiblings, l.Pos, "add siblings: lowest over highest, or another rule", "check %s compares siblings against limit %s, which has no rule for them", k.ID, l.ID)
		}
	}
	if !k.ofNominal() {
		return
	}
	switch l := s.sheet.Limit(r.Limit.ID); {
	case l == nil: // its readings are for the record then
	case !l.Nominal.given():
		s.f.add(RuleNoNominal, l.Pos, "give nominal and tolerance", "check %s counts from the nominal value of limit %s, which has none", k.ID, l.ID)
	case !l.Nominal.IsZero() && l.Nominal.Base() <= 0:
		s.f.add(RuleNoNominal, l.Nominal.Pos, "give a nominal value above 0", "check %s counts in parts of the nominal value", k.ID)
	}
}

func (s *sheetFile) ofQuantity(k *Check, l *Limit, read Ref) {
	if l.Quantity.ID != "" && !sameDimension(l.Quantity.ID, read.ID) {
		s.f.add(RuleWrongDimension, l.Quantity.Pos, "give the limit in that quantity", "limit %s is of %s, and check %s reads %s", l.ID, l.Quantity.ID, k.ID, read.ID)
	}
}

// sameDimension compares two names of dimensions; an unknown one was reported.
func sameDimension(a, b string) bool {
	x, err1 := quantity.ParseDimension(a)
	y, err2 := quantity.ParseDimension(b)
	return err1 != nil || err2 != nil || x == y
}

// ofNominal reports whether any population of the check counts from nominal.
func (k *Check) ofNominal() bool {
	for _, r := range append(k.Rows[:len(k.Rows):len(k.Rows)], k.Else) {
		if r.True != nil && r.True.OfNominal {
			return true
		}
	}
	return false
}

// fitted checks a table by position: its item and its set.
func (s *sheetFile) fitted(t *Fitted) {
	var item *Item
	for _, it := range s.pack.pack.Items {
		if it.ID == t.ID {
			item = it
		}
	}
	if item == nil {
		s.f.add(RuleUnknownName, t.Pos, s.f.meant(t.ID, itemIDs(s.pack.pack), "name an item of the pack"), "pack %s has no item %s", s.pack.pack.ID, quote(t.ID))
		return
	}
	set := s.pack.lay.sets[item.At.ID]
	switch {
	case item.At.ID == "":
		s.f.add(RuleFittedPlace, t.Pos, "take it out; a table says what belongs at which place", "item %s stands at no set of positions", t.ID)
		return
	case set == nil: // the pack has that fault
		return
	case t.At.ID == "":
		t.At = Ref{item.At.ID, t.Pos}
	case t.At.ID != item.At.ID:
		s.f.add(RuleFittedPlace, t.At.Pos, "write at: "+item.At.ID, "item %s stands at %s, not at %s", t.ID, item.At.ID, quote(t.At.ID))
		return
	}
	s.fittedValues(t, set)
}

// fittedValues checks that every place of the set has a value, and puts the
// values into the order of the set.
func (s *sheetFile) fittedValues(t *Fitted, set *PositionSet) {
	var ordered []FittedValue
	for _, m := range set.Members {
		found := false
		for _, v := range t.Values {
			if v.Member == m {
				ordered, found = append(ordered, v), true
			}
		}
		if !found {
			s.f.add(RuleFittedIncomplete, t.Pos, "add "+quote(m), "fitted %s has no value for %s %s", t.ID, set.Title, m)
		}
	}
	for _, v := range t.Values {
		if !slices.Contains(set.Members, v.Member) {
			s.f.add(RuleUnknownMember, v.Pos, s.f.meant(v.Member, set.Members, ""), "position set %s has no member %s", set.ID, quote(v.Member))
		}
	}
	t.Values = ordered
}
