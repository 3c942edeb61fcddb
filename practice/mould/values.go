package mould

import (
	"earframe/units"
)

// Values returns what this package decides that the case does not give, with
// where it comes from, for the record.
func Values(printer units.Printer) []units.Value {
	key := keySizeFor(printer)
	var values []units.Value
	add := func(name string, value any, unit, note string) {
		values = append(values, units.Value{Path: "mould." + name, Value: value, Unit: unit,
			Origin: units.UnsourcedDefault, Note: note})
	}
	const own = "earframe's own choice"
	add("key.diameter", 2*key.radius, "mm", own)
	add("key.height", key.height, "mm", own)
	add("key.taper", degrees(keyTaper), "degrees", own)
	add("vent.diameter", ventFor(printer), "mm", own+", no less than the printer's smallest hole")
	add("vent.reach", ventReach, "mm", own)
	add("vent.trap_height", trapHeight, "mm", own)
	add("funnel.throat", throatDiameter, "mm", own+"; less in a narrow cavity")
	add("funnel.mouth", mouthDiameter, "mm", own+"; less where there is no room")
	add("roof", roofLeast, "mm", own)
	add("open.flat_share", goodShare, "", own)
	add("open.lip", widestLip, "mm", own+", for elastic casts")
	values = append(values, units.Value{Path: "mould.key.clearance", Value: printer.Clearance, Unit: "mm",
		Origin: units.Default, Note: printer.Source})
	return values
}
