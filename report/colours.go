package report

import "image/color"

// The page's own colours; units bring theirs.
var (
	paper     = color.RGBA{R: 252, G: 252, B: 250, A: 255}
	ink       = color.RGBA{R: 34, G: 38, B: 43, A: 255}
	softInk   = color.RGBA{R: 98, G: 104, B: 111, A: 255}
	hairline  = color.RGBA{R: 205, G: 208, B: 211, A: 255}
	vermilion = color.RGBA{R: 213, G: 94, B: 0, A: 255} // Okabe–Ito, for findings
)
