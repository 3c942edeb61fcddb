package casefile

// Limits returns the smallest and largest number that the case file takes under
// a key of its top level; ok is false for a key that is not a number.
func Limits(name string) (least, most float64, ok bool) {
	k := caseKeys().named(name)
	if k == nil || k.form != numberForm {
		return 0, 0, false
	}
	return k.least, k.most, true
}
