package knowledge

// sheet gives the advice on a sheet, together with its pack.
func (a *adviser) sheet(s *sheetFile) {
	for _, l := range s.sheet.Limits {
		if !sourced(l.Source, s.sheet.Source) {
			a.note(RuleNoSource, l.Pos, `add source; "judgement" is one`, "limit %s does not say what it rests on", l.ID)
		}
	}
	told := make(map[string]bool)
	for _, k := range a.p.pack.Checks {
		for _, r := range k.limits() {
			if s.sheet.Limit(r.ID) == nil && !told[r.ID] {
				told[r.ID] = true
				a.note(RuleMissingLimit, s.sheet.Pos, "add the limit if the engine has one", "check %s names limit %s, which this sheet does not give; the check still runs as a record", k.ID, r.ID)
			}
		}
	}
	e, err := Open(a.lib, s.sheet.ID)
	if err != nil {
		what, mend := cutAdvice(err.Error())
		a.list = append(a.list, Problem{File: s.src.Name, Line: s.sheet.Pos.Line, Col: s.sheet.Pos.Col, What: what, Mend: mend})
		return
	}
	a.sound(s, e)
}

// sound tells limits that condemn most sound parts, by the populations of the pack and
// the uncertainty that the check assumes.
func (a *adviser) sound(s *sheetFile, e *Engine) {
	checks := e.Model().Checks()
	told := make(map[string]bool)
	for _, u := range e.Checks() {
		r, ok := e.Reading(u)
		if !ok || r.Limit == nil || told[u.Def.ID] {
			continue
		}
		told[u.Def.ID] = true
		if conform := checks[u.ID].Else[0]; conform < 0.5 {
			l := s.sheet.Limit(u.Def.Reading.Limit.ID)
			a.note(RuleSoundOutside, l.Pos, "compare it with the populations of the check", "limit %s condemns %.0f of 100 parts that check %s takes for sound", l.ID, 100*(1-conform), u.Def.ID)
		}
	}
}
