package faulttree

import (
	"slices"
	"sync"
)

// cache keeps the programs of a model, those used last.
type cache struct {
	mu    sync.Mutex
	byKey map[string]*cached
	keys  []string // the one used last stands last
	held  int      // operations of all programs
}

type cached struct {
	outlining sync.Once
	outline   *outline // till the program is there
	unfit     error    // why there can be no outline
	writing   sync.Once
	prog      *program
	err       error
	pool      sync.Pool
	size      int // operations
}

// The bounds of a cache. An operation takes about thirty bytes in a program and
// in each of its workspaces.
const (
	cachePrograms   = 400
	cacheOperations = 1e7
)

// get returns the program of a question.
func (c *cache) get(m *Model, q *question) *cached {
	e, key := c.outlined(m, q)
	e.writing.Do(func() {
		if e.err = e.unfit; e.err != nil {
			return
		}
		e.prog, e.err = e.outline.write()
		e.outline = nil
		if e.err == nil && e.prog.circ != nil {
			c.charge(key, e)
		}
	})
	return e
}

// outlined returns the outline of a question at least, or why there can be none.
func (c *cache) outlined(m *Model, q *question) (e *cached, key string) {
	key = q.key()
	c.mu.Lock()
	e, ok := c.byKey[key]
	if !ok {
		e = &cached{}
		c.byKey[key] = e
	}
	c.keys = append(slices.DeleteFunc(c.keys, func(k string) bool { return k == key }), key)
	c.trim()
	c.mu.Unlock()
	e.outlining.Do(func() { e.outline, e.unfit = m.outline(q) })
	return e, key
}

// charge notes how large a program has become, unless it has been dropped
// already.
func (c *cache) charge(key string, e *cached) {
	c.mu.Lock()
	defer c.mu.Unlock()
	e.size = e.prog.circ.Size()
	if c.byKey[key] == e {
		c.held += e.size
		c.trim()
	}
}

// trim drops the programs that were used longest ago; whoever uses them still
// holds them. The newest always stays.
func (c *cache) trim() {
	for len(c.keys) > 1 && (len(c.keys) > cachePrograms || c.held > cacheOperations) {
		c.held -= c.byKey[c.keys[0]].size
		delete(c.byKey, c.keys[0])
		c.keys = c.keys[1:]
	}
}
