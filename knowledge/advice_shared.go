package knowledge

// shared drops the advice on what several packs have in common, unless it holds in all
// of them: a tool that one pack of two uses is used, and a check whose outcome means
// nothing in a variant that lacks the part keeps it for the others.
func shared(packs []*packFile, told map[*packFile]Problems) Problems {
	type place struct {
		rule Rule
		at   Pos
	}
	where := func(q Problem) place { return place{q.Rule, Pos{q.File, q.Line, q.Col}} }
	has := make(map[Pos]int)    // packs that define something there
	says := make(map[place]int) // packs of which the advice is told
	for _, p := range packs {
		for at := range p.definitions() {
			has[at]++
		}
		once := make(map[place]bool)
		for _, q := range told[p] {
			if w := where(q); !once[w] {
				once[w] = true
				says[w]++
			}
		}
	}
	var out Problems
	kept := make(map[place]bool)
	for _, p := range packs {
		here := make(map[place]bool)
		for _, q := range told[p] {
			w := where(q)
			// Advice told of an earlier pack is not told again.
			if kept[w] || says[w] < has[w.at] {
				continue
			}
			here[w] = true
			out = append(out, q)
		}
		for w := range here {
			kept[w] = true
		}
	}
	return out
}

// definitions are the places in the files at which a pack defines something.
func (p *packFile) definitions() map[Pos]bool {
	out := make(map[Pos]bool)
	see := func(e Entry) { out[e.Pos] = true }
	k := p.pack
	for _, x := range k.Sets {
		see(x.Entry)
	}
	for _, e := range p.events {
		switch e.Kind {
		case KindCause:
			see(e.Cause.Entry)
		case KindMode:
			see(e.Mode.Entry)
			see(e.Mode.Item.Entry)
		}
	}
	for _, x := range k.Conditions {
		see(x.Entry)
	}
	for _, x := range k.Symptoms {
		see(x.Entry)
	}
	for _, x := range k.History {
		see(x.Entry)
	}
	for _, x := range k.Sites {
		see(x.Entry)
	}
	for _, x := range k.Openings {
		see(x.Entry)
	}
	for _, x := range k.Tools {
		see(x.Entry)
	}
	for _, x := range k.Cautions {
		see(x.Entry)
	}
	for _, x := range k.Checks {
		see(x.Entry)
	}
	for _, x := range k.Repairs {
		see(x.Entry)
	}
	return out
}
