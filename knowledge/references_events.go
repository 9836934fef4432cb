package knowledge

// eventRefs follows what causes, modes and gates refer to.
func (c *checker) eventRefs() {
	for _, it := range c.p.Items {
		c.set(it.At)
	}
	for _, x := range c.p.Conditions {
		c.set(x.At)
	}
	for _, e := range c.events {
		at := Ref{ID: e.At}
		for _, r := range e.raises() {
			raised := c.event(r.Mode, at, faultKind, "raised mode")
			if raised != nil && e.Kind == KindMode && raised.Kind == KindMode && raised.Mode.Item == e.Mode.Item {
				c.f.add(RuleSameItem, r.Mode.Pos, "take it out; modes of an item exclude one another", "%s raises %s of the same item", e.ID, quote(r.Mode.ID))
			}
		}
		if g := e.gate(); g != nil {
			for _, in := range g.From {
				c.event(in.Event, at, anyKind, "input")
			}
			for _, u := range g.Unless {
				c.event(u, at, anyKind, "input")
			}
		}
	}
}

func (c *checker) historyRefs() {
	for _, h := range c.p.History {
		for _, s := range h.Said {
			c.event(s.Event, Ref{}, anyKind, "event")
		}
	}
}
