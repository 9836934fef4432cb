package knowledge

import (
	"cmp"
	"fmt"
)

// Lint reads sources as Load does and tells everything that is wrong with them:
// the errors, and advice on every pack, sheet and list of instruments that has
// none. Errors of what makes a model only together are among them. The problems
// are sorted by file and place.
func Lint(sources []Source) Problems {
	lib, all := Load(sources)
	told := make(map[*packFile]Problems)
	for _, p := range lib.packs {
		a := newAdviser(lib, p)
		a.pack()
		told[p] = a.list
		for _, s := range lib.sheets {
			if s.pack == p {
				b := newAdviser(lib, p)
				b.sheet(s)
				all = append(all, b.list...)
			}
		}
	}
	all = append(all, shared(lib.packs, told)...)
	a := &adviser{}
	a.instruments(lib.instruments)
	all = append(all, a.list...)
	all.sort()
	return all
}

// adviser looks at a pack that was loaded without fault for what is most likely
// not meant so.
type adviser struct {
	lib  *Library
	p    *packFile
	list Problems
	out  map[string][]*Edge // by the event that they lead from
	in   map[string][]*Edge // by the event that they lead to

	fixes map[string][]string // the repairs of a mode or cause
	tools map[string]string   // the titles of tools
}

func newAdviser(lib *Library, p *packFile) *adviser {
	a := &adviser{lib: lib, p: p, out: make(map[string][]*Edge), in: make(map[string][]*Edge), fixes: make(map[string][]string), tools: make(map[string]string)}
	for _, e := range edges(p.events) {
		a.out[e.From] = append(a.out[e.From], e)
		a.in[e.To] = append(a.in[e.To], e)
	}
	for _, t := range p.pack.Tools {
		a.tools[t.ID] = t.Title
	}
	for _, r := range p.pack.Repairs {
		for _, f := range r.Fixes {
			a.fixes[f.ID] = append(a.fixes[f.ID], r.ID)
		}
	}
	return a
}

// note adds a problem. As with errors, only so many are told of one file.
func (a *adviser) note(rule Rule, at Pos, mend, format string, args ...any) {
	switch n := len(a.list); {
	case n > maxProblems:
		return
	case n == maxProblems:
		a.list = append(a.list, Problem{File: at.File, What: fmt.Sprintf("more than %d pieces of advice", maxProblems),
			Mend: "mend those listed and check the file again", Rule: RuleTooManyFaults, Severity: SeverityAdvice})
		return
	}
	a.list = append(a.list, Problem{File: at.File, Line: at.Line, Col: at.Col, What: printable(fmt.Sprintf(format, args...)),
		Mend: printable(mend), Rule: rule, Severity: rule.Severity()})
}

// pack gives the advice on a pack.
func (a *adviser) pack() {
	a.unusedNames()
	a.unneededOpenings()
	for _, e := range a.p.events {
		if e.Kind == KindCause || e.Kind == KindMode {
			a.reaches(e)
			a.repaired(e)
		}
	}
	a.alike()
	a.priors()
	a.strengths()
	for _, k := range a.p.pack.Checks {
		a.check(k)
	}
	for _, r := range a.p.pack.Repairs {
		a.hazards("repair", &r.Work)
	}
	a.phrases()
}

// works are those of checks and repairs.
func (p *Pack) works() []*Work {
	var out []*Work
	for _, k := range p.Checks {
		out = append(out, &k.Work)
	}
	for _, r := range p.Repairs {
		out = append(out, &r.Work)
	}
	return out
}

// sourced tells whether any of the definitions that a number stands in says what
// it rests on.
func sourced(sources ...string) bool { return cmp.Or(sources...) != "" }

// instruments gives the advice on lists of instruments.
func (a *adviser) instruments(list []*Instrument) {
	for _, x := range list {
		if !sourced(x.Source) {
			a.note(RuleNoSource, x.Pos, `add source; "judgement" is one`, "the figures of instrument %s do not say what they rest on", x.ID)
		}
	}
}
