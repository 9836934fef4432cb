package diagnosability

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"
)

// WriteCSV writes the coverage matrix as CSV (RFC 4180): a header, then a line for
// each fault with its name, title and prior, and a column for each check with the
// largest change that the fault makes to the chance of an outcome, to two decimals;
// empty where it rounds to 0.
func (x *Matrix) WriteCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	head := []string{"id", "title", "prior"}
	for _, c := range x.Checks {
		head = append(head, c.Name)
	}
	lines := [][]string{head}
	for f, fault := range x.Faults {
		line := []string{fault.Name(), fault.Title, strconv.FormatFloat(fault.Prior, 'g', -1, 64)}
		for c := range x.Checks {
			cell := ""
			if n := x.hundredths(f, c); n > 0 {
				cell = fmt.Sprintf("%.2f", float64(n)/100)
			}
			line = append(line, cell)
		}
		lines = append(lines, line)
	}
	if err := out.WriteAll(lines); err != nil {
		return fmt.Errorf("the coverage matrix cannot be written: %w", err)
	}
	return nil
}

// hundredths is Change, rounded.
func (x *Matrix) hundredths(fault, check int) int {
	return int(math.Round(100 * x.Change(fault, check)))
}
