package casefile

// Origin says where a value comes from.
type Origin string

// Where values come from. An unsourced default is one for which no published
// number was found; it is shown as such wherever the value is shown.
const (
	Given            Origin = "given"
	Default          Origin = "default"
	UnsourcedDefault Origin = "unsourced default"
	FromTemplate     Origin = "from template"
)

// Value is one input of a plan with its provenance.
type Value struct {
	Path   string // as in the case file: units[helix].thickness
	Value  any    // number, text, flag, or a list of them
	Unit   string // mm, degrees, mm², kPa
	Origin Origin
	Note   string // the place it is given at, or the reason for the default
}
