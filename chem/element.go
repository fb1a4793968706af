package chem

// weights are the CIAAW Standard Atomic Weights 2021 in g/mol; for elements
// whose weight is published as an interval, the conventional single value.
var weights = map[string]float64{
	"H": 1.008, "Li": 6.94, "B": 10.81, "C": 12.011, "N": 14.007, "O": 15.999, "F": 18.99840316,
	"Na": 22.98976928, "Mg": 24.305, "Al": 26.9815384, "Si": 28.085, "P": 30.973762, "S": 32.06, "Cl": 35.45,
	"K": 39.0983, "Ca": 40.078, "V": 50.9415, "Cr": 51.9961, "Mn": 54.938043, "Fe": 55.845, "Co": 58.933194,
	"Ni": 58.6934, "Cu": 63.546, "Zn": 65.38, "Se": 78.971, "Br": 79.904, "Rb": 85.4678, "Sr": 87.62,
	"Mo": 95.95, "Sn": 118.71, "I": 126.90447, "Ba": 137.327, "La": 138.90547,
}

// AtomicWeight returns the standard atomic weight of an element in g/mol
// (CIAAW 2021), for the elements that fish rooms deal with.
func AtomicWeight(symbol string) (float64, bool) {
	w, ok := weights[symbol]
	return w, ok
}
