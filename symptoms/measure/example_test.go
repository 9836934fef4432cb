package measure_test

import (
	"fmt"

	"narrows/symptoms/measure"
	"narrows/symptoms/quantity"
)

// The worked case of the package comment.
func Example() {
	reading, _ := quantity.ParseFor("95 psi", quantity.Pressure)
	noise, _ := quantity.Parse("4 psi")
	least, _ := quantity.Parse("110 psi")
	r, _ := measure.Take(measure.Instrument{Noise: noise}, reading)

	limit := measure.Limit{Name: "compression", Quantity: quantity.Pressure, Min: &least}
	verdict, _ := measure.Judge(r, limit)
	fmt.Println(verdict.State, verdict.Margin, "psi")

	worn, sound := measure.Population{Mean: 85, SD: 15}, measure.Population{Mean: 125, SD: 8}
	fmt.Printf("%.1f times, normal densities alone\n", measure.PureRatio(worn, sound, 95, 4))
	model := measure.Model{Unit: r.Unit, Rows: []measure.Population{worn}, Else: sound}
	l, _ := model.Of(r.Estimate)
	fmt.Printf("%.0f times; 5 %% becomes %.0f %%\n", l[0]/l[1], 100*0.05*l[0]/(0.05*l[0]+0.95*l[1]))
	// Output:
	// does not conform -15 psi
	// 129.8 times, normal densities alone
	// 115 times; 5 % becomes 86 %
}

func ExampleCheckFitted() {
	table, _ := measure.CheckFitted([]measure.Fitted{
		{Position: "1", Expected: "42", Found: "45"},
		{Position: "2", Expected: "45", Found: "45"},
		{Position: "3", Expected: "45", Found: "45"},
		{Position: "4", Expected: "45", Found: "42"},
	})
	fmt.Println(table.State)
	fmt.Println(table)
	// Output:
	// explained by an exchange
	// the parts of 1 and 4 are exchanged
}
