package study

import (
	"context"
	"encoding/binary"
	"sync"

	"golang.org/x/sync/singleflight"

	ft "narrows/faulttree"
	"narrows/faulttree/plan"
)

// remembering asks a policy once for every history: the first checks of engines
// with the same complaint mostly show the same. A policy's answer depends on
// nothing else.
type remembering struct {
	Policy
	known  sync.Map // by history: answer
	asking singleflight.Group
}

type answer struct {
	action int
	err    error
}

func (r *remembering) Next(ctx context.Context, p *plan.Problem, h *History) (int, error) {
	key := h.key()
	if a, ok := r.known.Load(key); ok {
		return a.(answer).action, a.(answer).err
	}
	a, _, _ := r.asking.Do(key, func() (any, error) {
		action, err := r.Policy.Next(ctx, p, h)
		if ctx.Err() == nil {
			r.known.Store(key, answer{action, err})
		}
		return answer{action, err}, nil
	})
	return a.(answer).action, a.(answer).err
}

// key tells histories apart: the complaint, what was done and what came of it.
func (h *History) key() string {
	key := make([]byte, 0, 64)
	put := func(n int) { key = binary.AppendVarint(key, int64(n)) }
	events := func(es []ft.Event) {
		put(len(es))
		for _, e := range es {
			put(int(e))
		}
	}
	events(h.Told)
	for _, s := range h.Steps {
		put(s.Action)
		put(len(s.Results))
		for _, k := range s.Results {
			put(k)
		}
		events(s.Left)
	}
	return string(key)
}
