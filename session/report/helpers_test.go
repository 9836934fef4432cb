package report

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"narrows/knowledge"
	"narrows/session"
)

// bout is a case under test on the small pack.
type bout struct {
	*session.Open
	t     *testing.T
	store session.Store
}

// start begins a case; its clock moves ten seconds at every look.
func start(t *testing.T, lines ...string) *bout {
	t.Helper()
	return startOn(t, "holm_pump_5", lines...)
}

func startOn(t *testing.T, sheet string, lines ...string) *bout {
	t.Helper()
	at := time.Date(2031, 4, 2, 7, 15, 0, 0, time.UTC)
	clock := func() time.Time {
		at = at.Add(10 * time.Second)
		return at
	}
	sources, err := knowledge.EmbeddedSources()
	require.NoError(t, err)
	e, err := knowledge.OpenSheet(sources, sheet)
	require.NoError(t, err)
	store := session.Store{Dir: t.TempDir(), Clock: clock}
	o, err := store.Start(context.Background(), e)
	require.NoError(t, err)
	b := &bout{Open: o, t: t, store: store}
	t.Cleanup(func() { _ = b.Close() })
	b.say(lines...)
	return b
}

// say gives lines; none of them may be refused.
func (b *bout) say(lines ...string) {
	b.t.Helper()
	for _, l := range lines {
		v, err := b.Do(context.Background(), session.Parse(l))
		require.NoError(b.t, err, "line %q", l)
		require.Empty(b.t, v.Error, "line %q: %v", l, v.Text)
	}
}

func (b *bout) report() string {
	b.t.Helper()
	text, err := Markdown(b.Open)
	require.NoError(b.t, err)
	return text
}
