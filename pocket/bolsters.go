package pocket

import (
	"context"
	"fmt"
	"slices"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/anatomy"
	"earframe/internal/kept"
	"earframe/internal/workers"
	"earframe/membrane"
	"earframe/units"
	"earframe/units/casefile"
)

// Bolsters is what the rolls tied down on the skin do.
type Bolsters struct {
	Rolls   []BolsterRoll
	Tension float64 // of the skin, N/m, that the forces follow from
	Loose   float64 // and once no suction is left, N/m
	Drape   float64 // area of the skin's deep surface without them
	Added   float64 // area of skin that they ask for
	Dead    float64 // volume of dead space without them
	Relief  []Relief
}

// BolsterRoll is one roll. Forces are what the membrane asks for: tied down harder,
// the roll presses harder on frame or bed.
type BolsterRoll struct {
	Key      string // its entry in the case file
	Name     string // of its place
	Diameter float64
	Length   float64    // with its round ends
	From, To mgl64.Vec2 // its ends, the superior first
	Resting  float64    // share of its length along which the skin under it lies on frame or bed
	Stands   float64    // at the most, over frame or bed
	At       mgl64.Vec2 // that it stands so
	Force    float64    // per length under the suction of the case, N/mm
	Drained  float64    // and once no suction is left, N/mm
	Pressure float64    // on the skin's outside once no suction is left, kPa
}

// placeBolsters finds where the plan's bolsters lie. What has no place in the pocket
// is a finding, and is not laid.
func (r *Result) placeBolsters() {
	r.bolsters = nil
	for _, b := range r.places.Bolsters(r.Plan) {
		inside, outside := 0, 0.0
		for _, p := range b.Along {
			if distance := r.edge.Distance(p); distance < 0 {
				inside++
			} else {
				outside = max(outside, distance)
			}
		}
		f := units.Finding{Rule: "bolster-without-place", Severity: units.Error}
		switch {
		case len(b.Along) == 0:
			f.Message = fmt.Sprintf("%s: the frame has no %s to lay a bolster along", b.Key, b.Name)
			f.Advice = "Draw it and name it, or take the bolster out."
		case inside == 0:
			f.Message = fmt.Sprintf("%s: the bolster's line lies outside the pocket, by up to %.1f mm", b.Key, outside)
			f.Advice = "Draw it over skin that is undermined, or give pocket.margin more."
		case outside > 0:
			f.Severity = units.Warning
			f.Message = fmt.Sprintf("%s: the bolster's line leaves the pocket by up to %.1f mm", b.Key, outside)
			f.Advice = "Skin that is not undermined is not moved by it; end the line earlier, or give pocket.margin more."
		}
		if f.Message != "" {
			r.misplaced = append(r.misplaced, f)
		}
		if inside > 0 {
			if len(b.Along) == 1 { // as short as a ball
				b.Along = append(b.Along, b.Along[0])
			}
			r.bolsters = append(r.bolsters, b)
		}
	}
}

// rolls returns the bolsters as the membrane knows them.
func (r *Result) rolls() []membrane.Roll {
	var rolls []membrane.Roll
	for _, b := range r.bolsters {
		rolls = append(rolls, membrane.Roll{Line: b.Along, Radius: b.Swell})
	}
	return rolls
}

// rollsKey is what of the bolsters shapes a drape.
func (r *Result) rollsKey() kept.Key {
	var made []any
	for _, roll := range r.rolls() {
		made = append(made, roll.Radius, len(roll.Line))
		for _, p := range roll.Line {
			made = append(made, p[0], p[1])
		}
	}
	return kept.KeyOf(made...)
}

// layOtherwise lays the skin without its bolsters, and without suction.
func (r *Result) layOtherwise(ctx context.Context, key kept.Key) error {
	if len(r.bolsters) == 0 {
		return nil
	}
	get := func(name string, lay func(ctx context.Context) (*membrane.Drape, error)) (*membrane.Drape, error) {
		bytes := func(d *membrane.Drape) int64 { return bytesPerNode * int64(len(d.Heights)) }
		return kept.Get(ctx, r.options.Kept, kept.KeyOf(name, key), bytes, lay)
	}
	ways := []func() error{
		func() (err error) {
			r.released, err = get("released", func(ctx context.Context) (*membrane.Drape, error) {
				return r.Drape.Released(ctx, stateTolerance)
			})
			return err
		},
		func() (err error) {
			r.drained, err = get("drained", func(ctx context.Context) (*membrane.Drape, error) {
				t, err := r.try(ctx) // on the fine grid it takes as long as all else of the check
				if err != nil {
					return nil, err
				}
				without := r.suction()
				without.Pressure = 0
				return t.drape.AgainUnder(ctx, without, stateTolerance)
			})
			return err
		},
	}
	return workers.Each(ctx, "skin: bolsters", len(ways), func(n int) error { return ways[n]() })
}

// bolstersDo takes down what the bolsters do; nil without any.
func (r *Result) bolstersDo(ctx context.Context) (*Bolsters, error) {
	if len(r.bolsters) == 0 {
		return nil, nil
	}
	b := &Bolsters{
		Tension: r.tensionOf(r.Drape), Loose: r.tensionOf(r.drained), Drape: r.released.DrapeArea, Added: r.Drape.DrapeArea - r.released.DrapeArea,
	}
	for _, s := range r.released.DeadSpaces(leastGap) {
		b.Dead += s.Volume
	}
	outside, err := r.outsideOf(ctx, r.released)
	if err != nil {
		return nil, err
	}
	if b.Relief, err = r.reliefOf(ctx, r.released, outside); err != nil {
		return nil, err
	}
	now, drained := r.Drape.Pressed(), r.drained.Pressed()
	for n, place := range r.bolsters {
		roll := BolsterRoll{
			Key: place.Key, Name: place.Name, Diameter: place.Diameter, Length: place.Length(),
			From: place.Along[0], To: place.Along[len(place.Along)-1],
			Resting: now[n].Resting, Stands: now[n].Stands, At: now[n].Where,
		}
		const metre = 1000 // mm
		roll.Force = b.Tension / metre * now[n].Pull / roll.Length
		roll.Drained = b.Loose / metre * drained[n].Pull / roll.Length
		if roll.Drained > 0 {
			// Laplace: skin that is bent round the roll.
			roll.Pressure = b.Loose / (roll.Diameter / 2)
		}
		b.Rolls = append(b.Rolls, roll)
	}
	return b, nil
}

// bolsterHelps reports whether a bolster along a lost groove that has none would show
// half of it again.
func (r *Result) bolsterHelps(ctx context.Context, t *trial, lost membrane.Relief) (bool, error) {
	name := lost.Feature.Name
	if slices.ContainsFunc(r.bolsters, func(b anatomy.Bolster) bool { return b.Name == name }) {
		return false, nil
	}
	const half = casefile.BolsterDiameter / 2
	swell := half + r.Plan.Skin.Lateral
	line, _ := r.places.MiddleOf(name, half, r.Plan.Skin.Lateral)
	if len(line) < 2 {
		return false, nil
	}
	c := t.laid
	c.Rolls = append(slices.Clone(c.Rolls), membrane.Roll{Line: line, Radius: swell})
	drape, err := membrane.Lay(ctx, c, trialOptions())
	if err != nil {
		return false, err
	}
	feature := lost.Feature
	feature.Reach = lost.Reach
	shown, err := drape.Shown(ctx, r.Plan.Skin.Lateral, feature)
	return shown >= keptEnough*lost.OnFrame, err
}
