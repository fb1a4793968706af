// Package fonts embeds the faces of window, charts and reports: Noto Sans (SIL Open
// Font License 1.1, see LICENSE-NotoSans.txt) with a minus, arrows and other signs
// that it lacks, added from Noto Sans Mono by extend.py.
package fonts

import _ "embed"

// Regular and Bold are TrueType files.
var (
	//go:embed NotoSans-Regular.ttf
	Regular []byte
	//go:embed NotoSans-Bold.ttf
	Bold []byte
)
