package seawater_test

import (
	"fmt"

	"weirkeeper/chem/seawater"
)

// A hydrometer marked for 25/25 °C reads 1.0264 in water of 25 °C.
func ExampleSalinityFromGravity() {
	s, err := seawater.SalinityFromGravity(1.0264, seawater.Ref25C)
	fmt.Printf("%.1f %v\n", s, err)
	_, err = seawater.SalinityFromGravity(1.26, seawater.Ref25C)
	fmt.Println(err != nil)
	// Output:
	// 35.0 <nil>
	// true
}

// A meter without temperature compensation reads 50 mS/cm at 22 °C.
func ExampleSalinityFromConductivity() {
	s, err := seawater.SalinityFromConductivity(50, 22)
	fmt.Printf("%.2f %v\n", s, err)
	// Output: 35.03 <nil>
}
