package session

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"narrows/knowledge"
)

// fixed is a clock that moves a second at every look.
func fixed() func() time.Time {
	at := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	return func() time.Time {
		at = at.Add(time.Second)
		return at
	}
}

func engine(t *testing.T, sheet string) *knowledge.Engine {
	t.Helper()
	sources, err := knowledge.EmbeddedSources()
	require.NoError(t, err)
	e, err := knowledge.OpenSheet(sources, sheet)
	require.NoError(t, err)
	return e
}

// bout is a case under test.
type bout struct {
	t     *testing.T
	store Store
	*Open
}

func start(t *testing.T, sheet string) *bout {
	t.Helper()
	s := Store{Dir: t.TempDir(), Clock: fixed()}
	o, err := s.Start(context.Background(), engine(t, sheet))
	require.NoError(t, err)
	b := &bout{t, s, o}
	t.Cleanup(func() { _ = b.Close() })
	return b
}

// say gives lines and returns the last view; none of them may be refused.
func (b *bout) say(lines ...string) View {
	b.t.Helper()
	var v View
	for _, l := range lines {
		v = b.try(l)
		require.Empty(b.t, v.Error, "line %q", l)
	}
	return v
}

// try gives one line, which may be refused.
func (b *bout) try(line string) View {
	b.t.Helper()
	v, err := b.Do(context.Background(), Parse(line))
	require.NoError(b.t, err, "line %q", line)
	return v
}

func (b *bout) entries() int { return len(b.Log.Entries()) }

// suspect returns the numbers of one event now.
func (b *bout) suspect(id, place string) Suspect {
	b.t.Helper()
	list, err := b.suspects()
	require.NoError(b.t, err)
	for _, s := range list {
		if s.Event == id && s.Place == place {
			return s
		}
	}
	b.t.Fatalf("no suspect %s at %q", id, place)
	return Suspect{}
}
