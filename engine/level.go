package engine

import (
	"earframe/assemble"
	"earframe/pocket"
)

// Level says how closely an answer looks.
type Level int

const (
	// Coarse is for while a hand moves: units sampled at 0.4 mm and left apart,
	// without letters, their walls not measured; skin at 0.8 mm; findings without
	// advice that has to be worked out by laying the skin again.
	Coarse Level = iota

	// Fine is what the files hold.
	Fine
)

// What Coarse looks at, mm.
const (
	coarseStep      = 0.4
	coarseTolerance = 0.04 // a tenth of the step
	coarseGrid      = 0.8  // of the skin
	coarseMap       = 0.4  // of the depth map
)

// String returns the level's name.
func (l Level) String() string {
	if l == Fine {
		return "fine"
	}
	return "coarse"
}

func (l Level) assembly() assemble.Options {
	if l == Fine {
		return assemble.Options{}
	}
	return assemble.Options{Step: coarseStep, Tolerance: coarseTolerance, Apart: true, Plain: true, Unwalled: true}
}

func (l Level) skin() pocket.Options {
	if l == Fine {
		return pocket.Options{}
	}
	return pocket.Options{Step: coarseGrid, MapStep: coarseMap, NoAdvice: true}
}
