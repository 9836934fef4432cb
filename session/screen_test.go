package session

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

// What the sheets' limits do to parts before anything is read: of sound ones, as the
// packs have them, hardly any is condemned and most are passed, and a fault that the
// pack means a check to see is passed by it less often than a sound part. Where the
// populations, the limit and the instrument's doubt do not fit together one of them
// is wrong.
func TestLimitsFitTheirPopulations(t *testing.T) {
	for _, e := range both(t) {
		seen := 0
		for _, u := range e.Checks() {
			use, ok := e.Reading(u)
			if !ok || use.Limit == nil {
				continue
			}
			seen++
			name := fmt.Sprintf("%s, %s", e.Sheet().ID, u.Title)
			got, err := houseRule().Screen(use.Model, use.Uncertainty, *use.Limit)
			require.NoError(t, err, name)
			sound := got[len(got)-1]
			require.Less(t, sound.Condemned, .03, name)
			require.Greater(t, sound.Passed, .5, name)
			if u.Def.ID == "compression_dry" {
				// Sound N(125,8) psi read to 4 psi, 110 to 140 psi: 15 + 1.645*4 = 21.58 psi
				// off, 2.413 of 8.944 psi, and a normal table has 2*.0079 beyond. By hand.
				require.InDelta(t, .0158, sound.Condemned, 1e-4)
			}
			least := 1.0
			for _, faulty := range got[:len(got)-1] {
				least = min(least, faulty.Passed)
			}
			require.Less(t, least, .5, "%s sees no fault", name)
			risks, err := houseRule().Risks(use.Model.Else.Spread(), use.Uncertainty, *use.Limit, use.Unit)
			require.NoError(t, err, name)
			require.Less(t, risks.Consumer, .01, "%s passes parts outside it", name)
		}
		require.Greater(t, seen, 3)
	}
}
