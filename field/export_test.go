package field

// What the tests of the laws draw.
var (
	DrawField = drawField
	DrawPoint = drawPoint
)
