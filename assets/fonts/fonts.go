// Package fonts embeds the faces of charts and reports: Noto Sans, which is
// also the window's (SIL Open Font License 1.1, see LICENSE-NotoSans.txt).
package fonts

import _ "embed"

// Regular and Bold are TrueType files.
var (
	//go:embed NotoSans-Regular.ttf
	Regular []byte
	//go:embed NotoSans-Bold.ttf
	Bold []byte
)
