package knowledge

import (
	"slices"
	"strings"

	"gopkg.in/yaml.v3"
)

// gone is what changes have taken out of a pack: paths such as items.coil,
// items.coil.modes.weak or openings.cowl.
type gone struct {
	names map[string]map[string]bool // by the section whose names they are
	hits  map[string]map[string]bool // those that were named somewhere
}

// namedIn says which keys of a definition name things of which sections. The
// events of all sections share their names.
var namedIn = map[string]string{
	"from": "events", "unless": "events", "raises": "events", "rows": "events", "fixes": "events",
	"introduces": "events", "said": "events", "fitted": "events",
	"opens": "openings", "needs": "openings", "shut": "openings",
	"tools": "tools", "cautions": "cautions", "places": "places",
}

// spaces says which section's names a section's definitions are.
var spaces = map[string]string{
	"causes": "events", "items": "events", "conditions": "events", "symptoms": "events",
	"openings": "openings", "tools": "tools", "cautions": "cautions", "places": "places", "positions": "positions",
}

// note records what a path that was taken out named.
func (g *gone) note(path []string) {
	space := spaces[path[0]]
	switch {
	case space == "":
	case len(path) == 2:
		g.name(space, path[1])
	case len(path) == 4 && path[0] == "items" && path[2] == "modes":
		g.name(space, path[1]+"."+path[3])
	}
}

func (g *gone) name(space, id string) {
	if g.names == nil {
		g.names, g.hits = make(map[string]map[string]bool), make(map[string]map[string]bool)
	}
	if g.names[space] == nil {
		g.names[space], g.hits[space] = make(map[string]bool), make(map[string]bool)
	}
	g.names[space][id] = true
}

// hit reports whether what a path names was named somewhere.
func (g *gone) hit(path []string) bool {
	switch space := spaces[path[0]]; {
	case space == "":
		return false
	case len(path) == 2:
		return g.hits[space][path[1]]
	case len(path) == 4:
		return g.hits[space][path[1]+"."+path[3]]
	}
	return false
}

// has reports whether a name is gone; with an item all its modes are.
func (g *gone) has(space, id string) bool {
	item, _, isMode := strings.Cut(id, ".")
	switch {
	case g.names[space][id]:
		g.hits[space][id] = true
	case isMode && space == "events" && g.names[space][item]:
		g.hits[space][item] = true
	default:
		return false
	}
	return true
}

// prune takes out every mention of what is gone, then the definitions that
// cannot be without it, until nothing more goes.
func (g *gone) prune(root *yaml.Node) {
	for again := len(g.names) > 0; again; {
		again = false
		g.positions(root)
		for _, section := range sections {
			s := valueOf(root, section)
			for i := 0; s != nil && s.Kind == yaml.MappingNode && i+1 < len(s.Content); {
				k, v := s.Content[i], s.Content[i+1]
				if !g.mentions(section, k.Value, v) {
					i += 2
					continue
				}
				g.note([]string{section, k.Value})
				s.Content = append(s.Content[:i:i], s.Content[i+2:]...)
				again = true
			}
		}
	}
}

// positions takes the sets that are gone out of the relations.
func (g *gone) positions(root *yaml.Node) {
	serves := valueOf(root, "serves")
	if serves == nil {
		return
	}
	for set := range g.names["positions"] {
		cut(serves, set)
	}
	for i := 0; i+1 < len(serves.Content); {
		to := serves.Content[i+1]
		for set := range g.names["positions"] {
			cut(to, set)
		}
		if to.Kind == yaml.MappingNode && len(to.Content) == 0 {
			serves.Content = append(serves.Content[:i:i], serves.Content[i+2:]...)
			continue
		}
		i += 2
	}
}

// mentions takes the mentions out of one definition and reports whether it goes
// with them: it stands where no place is left, or nothing is left of what it is
// made of, or one of the inputs that an and gate needs is gone.
func (g *gone) mentions(section, id string, def *yaml.Node) bool {
	if def.Kind != yaml.MappingNode || section == "positions" || section == "serves" {
		return false
	}
	if set := valueOf(def, "at"); set != nil && g.has("positions", set.Value) {
		return true
	}
	if modes := valueOf(def, "modes"); section == "items" && modes != nil && modes.Kind == yaml.MappingNode {
		for i := 0; i+1 < len(modes.Content); i += 2 {
			g.mentions("modes", id, modes.Content[i+1])
		}
		return len(modes.Content) == 0
	}
	gate := valueOf(def, "gate")
	goes := false
	for key, space := range namedIn {
		n := valueOf(def, key)
		if n == nil || key == "places" && section == "places" {
			continue
		}
		lost, left := g.strip(n, space)
		switch {
		case lost == 0:
		case key == "from":
			goes = goes || left == 0 || gate != nil && gate.Value == "and"
		case key == "rows" || key == "fixes" || key == "said":
			goes = goes || left == 0
		case left == 0:
			cut(def, key)
		}
	}
	return goes
}

// strip takes the names that are gone out of a list or a mapping.
func (g *gone) strip(n *yaml.Node, space string) (lost, left int) {
	step := 1
	if n.Kind == yaml.MappingNode {
		step = 2
	}
	kept := make([]*yaml.Node, 0, len(n.Content))
	for i := 0; i+step <= len(n.Content); i += step {
		if n.Content[i].Kind == yaml.ScalarNode && g.has(space, n.Content[i].Value) {
			lost++
			continue
		}
		kept = append(kept, n.Content[i:i+step]...)
	}
	n.Content = slices.Clip(kept)
	return lost, len(n.Content) / step
}
