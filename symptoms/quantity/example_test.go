package quantity_test

import (
	"fmt"

	"narrows/symptoms/quantity"
)

func ExampleParseFor() {
	for _, typed := range []string{"0.95k", "118 psi", "0.95", "1,234 ohm"} {
		q, err := quantity.ParseFor(typed, quantity.Resistance)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(q)
	}
	// Output:
	// 0.95 kΩ
	// 118 psi is a pressure; this check reads a resistance, as 0.95 ohm
	// 0.95 has no unit; this check reads a resistance: add ohm, kΩ, MΩ or mΩ
	// 1,234 ohm can be read in two ways; type 1.234 ohm or 1234 ohm
}

func ExampleQuantity_To() {
	typed, _ := quantity.Parse("118psi")
	kPa, _ := quantity.ParseUnit("kPa")
	q, _ := typed.To(kPa)
	fmt.Println(q.Text, "is", quantity.Format(q.Value, q.Unit, 4))
	// Output: 118psi is 813.6 kPa
}
