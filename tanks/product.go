package tanks

import (
	"strings"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// Product is a bottle or bag on the shelf, described by what it contains.
type Product struct {
	ID       ProductID
	Name     string
	Contents chem.Product // what it is made of and how strong
	Stock    float64      // left, in mL of a liquid or g of a solid
	Full     float64      // a full package, same unit; zero: not known
	Price    float64      // of a full package, in the room's currency; zero: not known
	Caution  string       // from the label, shown where it is used
	Retired  bool
}

// Unit returns the unit that amounts of the product are given in: "mL" or "g".
func (p Product) Unit() string { return p.Contents.AmountUnit() }

// Validate returns Faults of "name", "contents", "stock", "price".
func (p Product) Validate() error {
	var fs Faults
	if strings.TrimSpace(p.Name) == "" {
		fs.add("name", "The product has no name", "name it as on your shelf")
	}
	if _, err := p.Contents.Effects(); err != nil {
		fs.add("contents", words.T("What it contains is not clear: %v", err), "describe it by compound and strength")
	}
	if p.Stock < 0 || !finite(p.Stock) || p.Full < 0 || !finite(p.Full) {
		fs.add("stock", "The stock is negative", "give zero or more")
	}
	if p.Price < 0 || !finite(p.Price) {
		fs.add("price", "The price is negative", "give zero or more")
	}
	return fs.Err()
}
