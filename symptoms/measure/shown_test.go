package measure

import (
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/symptoms/quantity"
)

// 1 psi is 6894.757 Pa and 0 degC 32 degF (NIST SP 811, appendix B; from memory).
func TestLimitShown(t *testing.T) {
	for _, c := range []struct {
		l          Limit
		unit, want string
	}{
		{Limit{Quantity: quantity.Pressure, Min: ptr(q(t, "110 psi"))}, "bar", "at least 7.584 bar"},
		{Limit{Quantity: quantity.Pressure, Min: ptr(q(t, "110 psi"))}, "psi", "at least 110 psi"},
		{Limit{Quantity: quantity.Pressure, Nominal: ptr(q(t, "100 psi")), Tolerance: ptr(q(t, "10 %"))}, "kPa", "689.5 kPa ± 10 %"},
		{Limit{Quantity: quantity.Temperature, Nominal: ptr(q(t, "60 degC")), Tolerance: ptr(q(t, "5 K"))}, "degF", ""},
		{Limit{Quantity: quantity.Pressure, Siblings: HighestLessLowest, Max: ptr(q(t, "10 psi"))}, "bar", "highest less lowest at most 0.6895 bar"},
	} {
		u, err := quantity.ParseUnit(c.unit)
		require.NoError(t, err)
		got, err := c.l.Shown(u, 4)
		require.NoError(t, err)
		if c.unit == "degF" {
			require.Contains(t, got.String(), "140 ")
			require.InDelta(t, 9, got.Tolerance.Value, 1e-9)
			continue
		}
		require.Equal(t, c.want, got.String())
	}
	u, err := quantity.ParseUnit("ohm")
	require.NoError(t, err)
	_, err = Limit{Quantity: quantity.Pressure, Min: ptr(q(t, "110 psi"))}.Shown(u, 4)
	require.Error(t, err)
}
