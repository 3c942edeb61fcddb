package units

import "slices"

// Rule is a kind of finding. Its id is stable: a program may go by it, and it is
// never given to another kind.
type Rule struct {
	ID       string
	Question Question // that it answers
	Severity Severity // as a rule
	Or       Severity // where Says tells of another one; empty for none
	Package  string   // that finds it
	Says     string   // when it is found, in one sentence
	// Fault is what is wrong, and Do what to do, in a few words without where, for a
	// line of a list: Finding.Short says what may stand in them. Notes, which are
	// counted there, have none.
	Fault, Do string
}

// Question is what a person asks of a framework, and what a finding is about.
type Question string

// The questions, in the order in which they are answered.
const (
	AboutDrawing   Question = "drawing"   // was it read as it is meant?
	AboutSound     Question = "sound"     // are the meshes closed, and does the framework hold together?
	AboutPocket    Question = "pocket"    // does it fit in there?
	AboutSkin      Question = "skin"      // is there enough of it?
	AboutRelief    Question = "relief"    // does it show through the skin?
	AboutCartilage Question = "cartilage" // does it come out of the ribs?
	AboutPrint     Question = "print"     // can it be printed and cast?
	AboutWiring    Question = "wiring"    // do the fixations hold?
)

// Questions returns all questions in the order in which they are answered.
func Questions() []Question {
	return []Question{
		AboutDrawing, AboutSound, AboutPocket, AboutSkin, AboutRelief, AboutCartilage, AboutPrint, AboutWiring,
	}
}

// Rules returns all kinds of findings there are, package by package in the order
// of the data's way.
func Rules() []Rule { return slices.Clone(rules[:]) }

// RuleOf returns the kind of that id; ok is false where there is none.
func RuleOf(id string) (rule Rule, ok bool) {
	for _, r := range rules {
		if r.ID == id {
			return r, true
		}
	}
	return Rule{}, false
}

var rules = [...]Rule{
	{ID: "shape-not-used", Question: AboutDrawing, Severity: Warning, Package: "units",
		Says:  "Shapes of the drawing have no name of a part, and nothing says that they are left out.",
		Fault: "some shapes of the drawing are not used", Do: "name them or leave them out under template.names"},
	{ID: "named-shape-not-drawn", Question: AboutDrawing, Severity: Warning, Or: Note, Package: "units",
		Says:  "What is named after a part is not drawn, so not built; a note for words beside an outline of the part.",
		Fault: "{message}"},
	{ID: "outline-healed", Question: AboutDrawing, Severity: Note, Package: "units",
		Says: "Hooks below the tolerance of curves, or pieces that enclose nothing, were taken out of an outline."},
	{ID: "outlines-joined", Question: AboutDrawing, Severity: Note, Package: "units",
		Says: "Outlines of one unit are drawn over one another, and were joined."},
	{ID: "outline-in-no-unit", Question: AboutDrawing, Severity: Warning, Package: "units",
		Says:  "Units are listed for a part, and one of its outlines is in none of them.",
		Fault: "{message}", Do: "add it to one"},
	{ID: "no-base-frame", Question: AboutDrawing, Severity: Error, Package: "units",
		Says:  "No base frame is drawn: the other units have nothing to stand on.",
		Fault: "none is drawn", Do: "name its outline base, or say leave_out: base"},
	{ID: "template-shows-other-side", Question: AboutDrawing, Severity: Warning, Package: "units",
		Says:  "The tragus lies behind the middle of the ear: the drawing seems to be of the other side.",
		Fault: "it lies at the back of the ear", Do: "set template.mirror, or correct side"},
	{ID: "drawing-turned-far", Question: AboutDrawing, Severity: Warning, Package: "units",
		Says:  "The mark of the Frankfort horizontal turns the drawing by more than an ear is drawn aslant.",
		Fault: "the Frankfort mark turns the drawing by {value}", Do: "see that it is drawn along that line"},
	{ID: "outline-lost-to-skin", Question: AboutDrawing, Severity: Error, Package: "units",
		Says:  "Nothing is left of an outline once the skin over its edges is taken off.",
		Fault: "nothing is left of it once the skin is off", Do: "{advice}"},
	{ID: "outline-parted-by-skin", Question: AboutDrawing, Severity: Error, Package: "units",
		Says:  "An outline falls into pieces once the skin over its edges is taken off.",
		Fault: "it falls apart once the skin is off", Do: "{advice}"},
	{ID: "hole-wall-lost-to-skin", Question: AboutDrawing, Severity: Error, Package: "units",
		Says:  "The wall beside a hole is gone once the skin over its edges is taken off.",
		Fault: "the wall beside its hole is gone once the skin is off", Do: "{advice}"},
	{ID: "unit-laid-level", Question: AboutDrawing, Severity: Note, Package: "units",
		Says: "A unit that should follow a profile has no centreline, and is laid level on the base frame."},
	{ID: "engraving-left-out", Question: AboutDrawing, Severity: Warning, Package: "units",
		Says:  "The text is not engraved: it has no room, cannot be written, or the printer cannot make it.",
		Fault: "its text is not engraved", Do: "{advice}"},
	{ID: "engraving-without-base", Question: AboutDrawing, Severity: Note, Package: "units",
		Says: "The text is not engraved: there is no base frame to carve it into."},
	{ID: "engraving-names-other-side", Question: AboutDrawing, Severity: Note, Package: "units",
		Says: "The text to be engraved begins with the letter of the other side."},

	{ID: "framework-in-pieces", Question: AboutSound, Severity: Error, Package: "assemble",
		Says:  "The joined framework falls into pieces.",
		Fault: "the framework is in {value}", Do: "bring the loose units into contact"},
	{ID: "framework-encloses-hollows", Question: AboutSound, Severity: Note, Package: "assemble",
		Says: "The joined framework closes in hollow spaces, in which uncured resin stays."},
	{ID: "unit-in-pieces", Question: AboutSound, Severity: Error, Package: "assemble",
		Says:  "A unit falls into more pieces than were drawn.",
		Fault: "it falls into {value} instead of {limit}", Do: "widen its narrowest neck"},
	{ID: "unit-touches-nothing", Question: AboutSound, Severity: Error, Package: "assemble",
		Says:  "A unit rests on no other.",
		Fault: "it touches nothing, the nearest unit is {value} away", Do: "change its rise or its outline"},
	{ID: "units-overlap", Question: AboutSound, Severity: Error, Package: "assemble",
		Says:  "A unit reaches into another outside a declared notch, deeper than a file takes off.",
		Fault: "it reaches {value} into another unit", Do: "{advice}"},
	{ID: "wall-too-thin", Question: AboutPrint, Severity: Error, Package: "assemble",
		Says:  "A unit has a wall thinner than the printer makes.",
		Fault: "a wall of {value}, the printer makes {limit}", Do: "widen or thicken it there"},
	{ID: "notch-leaves-thin-wall", Question: AboutPrint, Severity: Error, Package: "assemble",
		Says:  "A notch leaves a unit a wall thinner than the printer makes, where none was drawn.",
		Fault: "a notch leaves a wall of {value}, the printer makes {limit}", Do: "{advice}"},
	{ID: "notch-leaves-crumb", Question: AboutPrint, Severity: Warning, Package: "assemble",
		Says:  "A notch leaves a small bit of a unit thinner than the printer makes, which is left out in printing.",
		Fault: "a notch leaves a crumb {value} thin that does not print", Do: "end the notch elsewhere, or let it be"},
	{ID: "unit-encloses-hollow", Question: AboutSound, Severity: Error, Or: Warning, Package: "assemble",
		Says:  "A unit closes in a hollow, as where a notch for a thin neighbour comes out nowhere; a warning below 1 mm³.",
		Fault: "it closes in a hollow of {value}", Do: "{advice}"},
	{ID: "unit-outside-ear", Question: AboutPocket, Severity: Error, Package: "assemble",
		Says:  "A unit reaches beyond the ear's outline.",
		Fault: "it reaches {value} beyond the ear's outline", Do: "{advice}"},
	{ID: "ear-not-measurable", Question: AboutDrawing, Severity: Error, Package: "assemble",
		Says:  "The ear's outline cannot be used to measure what reaches beyond it.",
		Fault: "the ear's outline cannot be used", Do: "draw it as one closed line that does not cross itself"},

	{ID: "no-pocket-drawn", Question: AboutPocket, Severity: Note, Package: "pocket",
		Says: "Neither ear nor pocket is drawn, so that no skin can be laid over the framework."},
	{ID: "frame-outside-pocket", Question: AboutPocket, Severity: Error, Package: "pocket",
		Says:  "The framework reaches beyond the pocket's edge, so that no skin can be laid over it.",
		Fault: "the frame reaches {value} beyond the pocket's edge", Do: "draw the pocket wider or the frame smaller"},
	{ID: "skin-not-laid", Question: AboutSkin, Severity: Error, Package: "pocket",
		Says:  "The skin cannot be laid over the framework for another reason, which is told.",
		Fault: "no skin was laid", Do: "{message}"},
	{ID: "suction-passed-over", Question: AboutRelief, Severity: Note, Package: "pocket",
		Says: "Both pocket.suction and pocket.bridging_radius are given, and the radius is used."},
	{ID: "pocket-shallower-than-base", Question: AboutPocket, Severity: Error, Package: "pocket",
		Says:  "The pocket's depth is less than the base frame's thickness.",
		Fault: "the pocket takes {value}, this unit alone is {limit} thick", Do: "check pocket.depth"},
	{ID: "pocket-too-shallow", Question: AboutPocket, Severity: Error, Package: "pocket",
		Says:  "The framework stands higher than the pocket takes.",
		Fault: "it stands {value} high, the pocket takes {limit}", Do: "{advice}"},
	{ID: "skin-too-tight", Question: AboutSkin, Severity: Warning, Or: Error, Package: "pocket",
		Says:  "Skin is missing even if it slides freely; an error beyond a published strain at failure.",
		Fault: "the skin is stretched {value}", Do: "{advice}"},
	{ID: "skin-must-slide", Question: AboutSkin, Severity: Note, Package: "pocket",
		Says: "Somewhere the skin would stretch beyond the last band if it could not slide over the framework."},
	{ID: "bolster-without-place", Question: AboutRelief, Severity: Error, Or: Warning, Package: "pocket",
		Says: "A bolster has no place: the frame has no such groove, or its line lies outside the pocket; a warning where " +
			"it " +
			"lies outside in part.",
		Fault: "{message}"},
	{ID: "bolster-off-floor", Question: AboutRelief, Severity: Warning, Package: "pocket",
		Says:  "A bolster does not press the skin to the floor along most of its length: it is wider than the groove.",
		Fault: "the bolster of {value} does not reach the floor", Do: "{advice}"},
	{ID: "bolsters-cross", Question: AboutRelief, Severity: Warning, Package: "pocket",
		Says:  "Two bolsters cross or lie on one another.",
		Fault: "two bolsters come within {value} of one another", Do: "{advice}"},
	{ID: "bolster-presses-hard", Question: AboutSkin, Severity: Note, Or: Warning, Package: "pocket",
		Says: "Skin under a bolster is pressed with more than stands in capillaries; a warning from the force at which " +
			"they were seen empty.",
		Fault: "the bolster bears {value}, capillaries were empty at {limit}", Do: "{advice}"},
	{ID: "dead-space-in-hollow", Question: AboutRelief, Severity: Note, Package: "pocket",
		Says: "The skin bridges a hollow of the ear, with dead space under it."},
	{ID: "groove-filled-by-skin", Question: AboutRelief, Severity: Warning, Package: "pocket",
		Says:  "A groove is narrower than the skin on both its walls.",
		Fault: "skin {value} thick on both walls fills it", Do: "{advice}"},
	{ID: "relief-lost", Question: AboutRelief, Severity: Warning, Package: "pocket",
		Says:  "Of a groove or ridge less than half shows through the skin.",
		Fault: "only {value} shows", Do: "{advice}"},
	{ID: "drape-not-settled", Question: AboutSkin, Severity: Warning, Package: "pocket",
		Says:  "Depth or skin demand still change from grid to grid: they are rough.",
		Fault: "depth or skin demand still change by {value} from grid to grid", Do: "take them as rough"},

	{ID: "cartilage-younger-than-published", Question: AboutCartilage, Severity: Warning, Package: "practice/rib",
		Says:  "The cartilages' age is below any of which lengths are published; those of the youngest are taken.",
		Fault: "no lengths are published below {limit}", Do: "{advice}"},
	{ID: "ribs-run-together", Question: AboutCartilage, Severity: Warning, Package: "practice/rib",
		Says:  "Ribs 6 and 7 run into each other beyond their joint.",
		Fault: "they run into each other over {value}", Do: "{advice}"},
	{ID: "ribs-too-close", Question: AboutCartilage, Severity: Warning, Package: "practice/rib",
		Says:  "Ribs 6 and 7 are so near beside their joint that the gap closes in print.",
		Fault: "they are {value} apart beside their joint, which closes in print", Do: "{advice}"},
	{ID: "ribs-far-apart", Question: AboutCartilage, Severity: Warning, Package: "practice/rib",
		Says:  "Ribs 6 and 7 are farther apart at their joint than a rib is high.",
		Fault: "they are {value} apart at their joint", Do: "{advice}"},

	{ID: "mould-not-made", Question: AboutPrint, Severity: Error, Package: "practice",
		Says:  "No mould of a part can be made as it is asked for.",
		Fault: "no mould of it can be made as asked", Do: "{advice}"},
	{ID: "cast-locks-in-mould", Question: AboutPrint, Severity: Error, Package: "practice/mould",
		Says:  "A mould grips a rigid cast from behind.",
		Fault: "a rigid cast locks in its mould", Do: "{advice}"},
	{ID: "mould-grips-cast", Question: AboutPrint, Severity: Note, Package: "practice/mould",
		Says: "A mould grips an elastic cast from behind, which it bears."},
	{ID: "draft-takes-much", Question: AboutPrint, Severity: Warning, Package: "practice/mould",
		Says:  "The draft takes much of a unit's volume.",
		Fault: "the draft takes {value} of its volume", Do: "{advice}"},
	{ID: "mould-wall-too-thin", Question: AboutPrint, Severity: Warning, Package: "practice/mould",
		Says:  "A mould has a wall thinner than the printer makes.",
		Fault: "a wall of its mould is {value}, the printer makes {limit}", Do: "look at it in the slicer"},

	{ID: "print-in-pieces", Question: AboutPrint, Severity: Error, Package: "practice/kit",
		Says:  "With room around its neighbours, or holes, a unit's print falls into more pieces than were drawn.",
		Fault: "its print falls into {value} instead of {limit}", Do: "{advice}"},
	{ID: "print-wall-too-thin", Question: AboutPrint, Severity: Warning, Package: "practice/kit",
		Says:  "Room for its neighbours leaves a unit's print a wall thinner than the printer makes.",
		Fault: "its print has a wall of {value}, the printer makes {limit}", Do: "{advice}"},
	{ID: "crumbs-left-out", Question: AboutPrint, Severity: Note, Package: "practice/kit",
		Says: "Room around its neighbours leaves loose crumbs of a unit, and the print is made without."},
	{ID: "print-cut-to-fit-bed", Question: AboutPrint, Severity: Warning, Package: "practice/kit",
		Says:  "A unit's print is larger than the bed, and was cut.",
		Fault: "its print is {value} long, the bed {limit}", Do: "it is cut, glue the parts"},
	{ID: "print-too-large-for-bed", Question: AboutPrint, Severity: Error, Package: "practice/kit",
		Says:  "A unit's print is larger than the bed, and no cut would do.",
		Fault: "its print is {value} long, the bed {limit}", Do: "{advice}"},
	{ID: "print-needs-supports", Question: AboutPrint, Severity: Note, Package: "practice/kit",
		Says: "A unit's print hangs over in every way it can lie."},
	{ID: "print-without-letter", Question: AboutPrint, Severity: Note, Package: "practice/kit",
		Says: "Neither letter nor number has room in a unit's print."},

	{ID: "joint-too-low-for-wire", Question: AboutWiring, Severity: Note, Package: "practice/fixation",
		Says: "Two units meet along upright faces that are too low for a wire."},
	{ID: "seam-too-short-for-wire", Question: AboutWiring, Severity: Warning, Package: "practice/fixation",
		Says:  "A seam is too short for one fixation at the spacing asked for.",
		Fault: "a seam of {value} is too short for a wire", Do: "{advice}"},
	{ID: "wire-near-edge", Question: AboutWiring, Severity: Warning, Package: "practice/fixation",
		Says:  "Fixations stand so near to the edge of the contact that they may tear out.",
		Fault: "wires less than {limit} from the contact's edge may tear out", Do: "leave them out, or widen the contact"},
	{ID: "wire-holds-too-little", Question: AboutWiring, Severity: Warning, Package: "practice/fixation",
		Says:  "Fixations pass so little of a unit that they may tear out.",
		Fault: "wires through less than {limit} of it may tear out", Do: "leave them out, or make it thicker there"},
	{ID: "wires-crowded", Question: AboutWiring, Severity: Note, Package: "practice/fixation",
		Says: "Wires of two seams run close to one another in one unit."},
	{ID: "wire-comes-out-covered", Question: AboutWiring, Severity: Note, Package: "practice/fixation",
		Says: "Wires come out under a unit that is in place by then."},
	{ID: "pilot-holes-close-up", Question: AboutWiring, Severity: Warning, Package: "practice/fixation",
		Says:  "Pilot holes are narrower than the printer makes.",
		Fault: "pilot holes of {value} close up in print", Do: "{advice}"},

	{ID: "no-piece-of-rib", Question: AboutCartilage, Severity: Error, Or: Warning, Package: "practice/budget",
		Says: "No piece of the ribs named for a unit is at hand, and no other one serves; a " +
			"warning where one more cast does.",
		Fault: "no piece of its ribs is at hand", Do: "{advice}"},
	{ID: "strip-too-long-for-rib", Question: AboutCartilage, Severity: Error, Or: Warning, Package: "practice/budget",
		Says: "A unit bent from a strip is longer than its piece, and no way in pieces was found at hand; a " +
			"warning where one more cast does.",
		Fault: "it takes {limit} of strip, its rib gives {value}", Do: "{advice}"},
	{ID: "unit-too-thick-for-rib", Question: AboutCartilage, Severity: Error, Or: Warning, Package: "practice/budget",
		Says: "A unit is higher than its piece is thick, and no other way was found at hand; a " +
			"warning where one more cast does.",
		Fault: "it takes a slab of {limit}, its rib gives {value}", Do: "{advice}"},
	{ID: "unit-too-large-for-rib", Question: AboutCartilage, Severity: Error, Or: Warning, Package: "practice/budget",
		Says: "A unit does not come out of the cartilage at hand, neither whole nor in pieces; a " +
			"warning where one more cast does.",
		Fault: "it is {lack} too large for the cartilage", Do: "{advice}"},
	{ID: "cartilage-fits-closely", Question: AboutCartilage, Severity: Warning, Package: "practice/budget",
		Says:  "A unit comes out of the cartilage with less to spare than a pencil line.",
		Fault: "it comes out with only {value} to spare", Do: "cut on the line, or take larger cartilage"},
	{ID: "strip-bent-too-sharply", Question: AboutCartilage, Severity: Warning, Package: "practice/budget",
		Says:  "A unit bent from a strip stretches beyond what its material bears.",
		Fault: "bent, it stretches by {value}, {limit} is borne", Do: "{advice}"},
	{ID: "strip-raised-too-steeply", Question: AboutCartilage, Severity: Warning, Package: "practice/budget",
		Says:  "A unit bent up and down to its profile stretches beyond what its material bears.",
		Fault: "bent up and down, it stretches by {value}, {limit} is borne", Do: "{advice}"},
}
