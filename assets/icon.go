package assets

import _ "embed"

// Icon is the program's picture, a PNG of 256 × 256: water over a weir.
//
//go:embed icon.png
var Icon []byte
