package pocket

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"earframe/internal/workers"
	"earframe/membrane"
	"earframe/units"
	"earframe/units/casefile"
)

// Bridging says what draws the skin in, and how closely.
type Bridging struct {
	Radius   *float64 // at which unsupported skin bridges, mm; nil without suction
	Given    bool     // the radius is the case's own: it follows from nothing
	Suction  float64  // kPa, 0 for none
	Strain   float64  // of the skin's area, flaps included, by which its tension grows
	Tension  float64  // N/m
	Residual float64  // tension over suction less the radius, mm
	Steps    int      // drapes that were laid to find the radius, on all grids
	States   []State  // other suctions and tensions; none without the advice, and none where the radius is given
}

// State is the skin under another suction, or with another natural tension.
type State struct {
	Name    string
	Suction float64  // kPa
	Natural float64  // tension, kPa
	Radius  *float64 // mm, nil without suction
	Strain  float64
	Kept    []KeptShare // of every groove and ridge
}

// quarterFull is the share of its first suction that a drain has left when it is a
// quarter full: Khansa, Khansa, Meyerson and Janis 2018, Plast Reconstr Surg.
const quarterFull = 0.5

// suction returns what the bridging radius follows from where it is not given.
func (r *Result) suction() membrane.Suction {
	skin, pocket := r.Plan.Skin, r.Plan.Pocket
	return membrane.Suction{
		Pressure: pocket.Suction, Natural: skin.Tension, Modulus: skin.Modulus, Thickness: skin.Lateral,
		Extra: pocket.ExtraSkin,
	}
}

// tensionOf returns the tension of the skin on a drape, N/m.
func (r *Result) tensionOf(d *membrane.Drape) float64 {
	s := r.suction()
	return s.Tension(s.Strain(d))
}

// radiusGiven reports whether the bridging radius is the case's own.
func (r *Result) radiusGiven() bool { return r.Plan.Pocket.BridgingRadius > 0 }

// drape lays the skin over a frame.
func (r *Result) drape(ctx context.Context, c membrane.Case, o membrane.Options) (*membrane.Drape, error) {
	if r.radiusGiven() {
		return membrane.Lay(ctx, c, o)
	}
	return membrane.LayUnder(ctx, c, r.suction(), o)
}

func (r *Result) bridging() Bridging {
	found := Bridging{
		Radius: finite(r.Drape.BridgingRadius()), Given: r.radiusGiven(), Suction: r.Plan.Pocket.Suction,
		Strain: r.suction().Strain(r.Drape),
	}
	found.Tension = r.tensionOf(r.Drape)
	if b := r.Drape.Balance; b != nil {
		found.Residual, found.Steps = b.Residual, b.Steps
	}
	return found
}

// finite returns the radius, nil for one without end.
func finite(radius float64) *float64 {
	if math.IsInf(radius, 1) {
		return nil
	}
	return &radius
}

// stateTolerance is how closely skin is laid otherwise than it lies, as
// Options.Tolerance has it: a hundredth of a millimetre on a frame of 10 mm.
const stateTolerance = 1e-3

// states lays the skin as it lies when the drain has filled, and with the natural
// tension one standard deviation off its mean: on the coarse grid that advice is tried
// on, from which the share that each groove loses is taken.
func (r *Result) states(ctx context.Context) ([]State, error) {
	if r.radiusGiven() || r.Plan.Pocket.Suction == 0 {
		return nil, nil
	}
	var names []string
	var under []membrane.Suction
	add := func(name string, change func(s *membrane.Suction)) {
		s := r.suction()
		if change(&s); s.Natural > 0 {
			names, under = append(names, name), append(under, s)
		}
	}
	add("drain 1/4 full", func(s *membrane.Suction) { s.Pressure *= quarterFull })
	add("drain full", func(s *membrane.Suction) { s.Pressure = 0 })
	if sd := r.Plan.Skin.TensionSD; sd > 0 {
		add("tension -1 SD", func(s *membrane.Suction) { s.Natural -= sd })
		add("tension +1 SD", func(s *membrane.Suction) { s.Natural += sd })
	}
	t, err := r.try(ctx)
	if err != nil {
		return nil, err
	}
	now, err := r.shown(ctx, t.drape)
	if err != nil {
		return nil, err
	}
	states := make([]State, len(under))
	err = workers.Each(ctx, "skin: states", len(under), func(n int) error {
		s := under[n]
		drape, err := t.drape.AgainUnder(ctx, s, stateTolerance)
		if err != nil {
			return fmt.Errorf("%s: %w", names[n], err)
		}
		then, err := r.shown(ctx, drape)
		states[n] = State{
			Name: names[n], Suction: s.Pressure, Natural: s.Natural, Radius: finite(drape.BridgingRadius()),
			Strain: s.Strain(drape), Kept: r.keptThen(now, then),
		}
		return err
	})
	return states, err
}

// shown returns how deep or high every measured groove and ridge is on the outside of
// the skin as it lies, mm; not a number for one too small for the drape's grid.
func (r *Result) shown(ctx context.Context, d *membrane.Drape) ([]float64, error) {
	outside, err := r.outsideOf(ctx, d)
	if err != nil {
		return nil, err
	}
	shown := make([]float64, len(r.Measures.Relief))
	for n, g := range r.Measures.Relief {
		lost, _ := r.groove(g)
		lost.Feature.Reach = g.Reach
		var small *membrane.EmptyError
		switch relief, err := d.Relief(outside, lost.Feature); {
		case errors.As(err, &small):
			shown[n] = math.NaN()
		case err != nil:
			return nil, err
		default:
			shown[n] = relief.OnSkin
		}
	}
	return shown, nil
}

// keptThen returns what shares show where the depths on the coarse grid change so.
func (r *Result) keptThen(now, then []float64) []KeptShare {
	var shares []KeptShare
	for n, g := range r.Measures.Relief {
		switch {
		case math.IsNaN(now[n]) || g.OnFrame <= 0:
		case now[n] > leastRelief/10:
			shares = append(shares, KeptShare{g.Name, min(g.Kept*then[n]/now[n], 1)})
		default: // hardly anything shows now
			shares = append(shares, KeptShare{g.Name, min(then[n]/g.OnFrame, 1)})
		}
	}
	return shares
}

// suctionPassedOver notes that a radius is given beside the suction.
func (r *Result) suctionPassedOver(found []units.Finding) []units.Finding {
	given := func(v units.Value) bool { return v.Path == "pocket.suction" && v.Origin == units.Given }
	if !r.radiusGiven() || !slices.ContainsFunc(r.Plan.Values, given) {
		return found
	}
	return append(found, units.Finding{
		Rule: "suction-passed-over", Severity: units.Note,
		Message: "both pocket.suction and pocket.bridging_radius are given; the radius is used",
		Advice:  "Leave pocket.bridging_radius out for the radius that follows from the suction.",
	})
}

// drains are published ones with the suction that they draw at first, mmHg, weakest
// first: bulbs by Carruthers, Eisemann, Lamp and Kocak, Plast Surg Nurs; the strongest
// of four bulbs by Whitson et al. 2009, J Surg Res 156:270; the strongest of eleven
// drains, a rigid one, by Halfacree et al. 2009, Am J Vet Res 70:283.
var drains = [...]struct {
	name string
	mmHg float64
}{
	{"a squeezed 400 ml bulb", 71.4},
	{"a squeezed 100 ml bulb", 117.6},
	{"the strongest published bulb", 167.4},
	{"only a rigid drain", 633.4},
}

// reaching says in words how much suction that is, kPa, and which published drain
// draws as much at first.
func reaching(suction float64) string {
	much := casefile.Suction(suction)
	for _, d := range drains {
		if d.mmHg*casefile.MmHg >= suction {
			return much + ", which " + d.name + " draws at first"
		}
	}
	return much + ", more than any published drain draws"
}
