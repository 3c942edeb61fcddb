package pocket

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"earframe/internal/workers"
	"earframe/membrane"
	"earframe/units"
	"earframe/units/casefile"
)

// Advice that has to be worked out is kept apart from the findings: the skin is
// laid over and over for it, on a coarse grid and each time from where it lay
// before, while the finding itself is known at once.

// question is what is to be worked out for a finding.
type question struct {
	finding int // index in the record's findings
	answer  func(ctx context.Context, t *trial) (string, error)
}

// ask puts the finding on the list with a question about it.
func (r *Result) ask(
	found []units.Finding, f units.Finding, answer func(context.Context, *trial) (string, error),
) []units.Finding {
	r.questions = append(r.questions, question{len(found), answer})
	return append(found, f)
}

// trial is the coarse drape that advice is tried on.
type trial struct {
	laid  membrane.Case
	drape *membrane.Drape
	// drawnIn is the skin drawn in as closely as is tried.
	drawnIn func() (*membrane.Drape, error)
}

// trialStep is the grid step in mm on which advice is worked out: it takes a
// dozen drapes for every groove, and a tenth of a millimetre is all that is asked.
const trialStep = 0.8

func trialOptions() membrane.Options {
	return membrane.Options{Step: trialStep, Finest: trialStep, Tolerance: 1e-3}
}

// Advise returns the record's findings with the advice that has to be worked out,
// which Options.NoAdvice leaves out. It changes nothing; ctx ends it early with
// its error.
func (r *Result) Advise(ctx context.Context) ([]units.Finding, error) {
	findings := slices.Clone(r.Findings)
	if len(r.questions) == 0 {
		return findings, nil
	}
	answers, err := r.answers(ctx)
	if err != nil {
		return nil, err
	}
	for n, q := range r.questions {
		findings[q.finding].Advice = answers[n]
	}
	return findings, nil
}

// answer works out the advice that each question asks for.
func (r *Result) answer(ctx context.Context) ([]string, error) {
	t, err := r.try(ctx)
	if err != nil {
		return nil, err
	}
	answers := make([]string, len(r.questions))
	err = workers.Each(ctx, "skin: advice", len(r.questions), func(n int) (err error) {
		answers[n], err = r.questions[n].answer(ctx, t)
		return err
	})
	return answers, err
}

// try returns the skin on the coarse grid: laid once, and what is drawn in on it under
// this context.
func (r *Result) try(ctx context.Context) (*trial, error) {
	r.trying.Lock()
	defer r.trying.Unlock()
	if r.tried == nil {
		laid, err := r.layTrial(ctx)
		if err != nil {
			return nil, err
		}
		r.tried = laid
	}
	t := *r.tried
	t.drawnIn = sync.OnceValues(func() (*membrane.Drape, error) { return t.drape.Again(ctx, leastBridging) })
	return &t, nil
}

// layTrial lays the skin on the coarse grid, over the frame as the depth map holds it,
// which is quicker than the field and good enough for advice.
func (r *Result) layTrial(ctx context.Context) (*trial, error) {
	m := r.Depth
	heights := make([]float64, len(m.Top))
	for k, z := range m.Top {
		if !math.IsNaN(z) {
			heights[k] = z
		}
	}
	frame, err := membrane.NewFrame(membrane.Obstacle{Origin: m.Origin, Step: m.Step, Columns: m.Columns, Rows: m.Rows,
		Heights: heights})
	if err != nil {
		return nil, err
	}
	t := &trial{laid: membrane.Case{Frame: frame, Pocket: r.edge, BridgingRadius: r.Drape.BridgingRadius(), Rolls: r.rolls()}}
	if t.drape, err = membrane.Lay(ctx, t.laid, trialOptions()); err != nil {
		return nil, err
	}
	return t, nil
}

const (
	adviceWithin   = 0.2  // how closely a length is found, mm
	leastBridging  = 0.5  // mm, the smallest bridging radius tried
	mostBridging   = 50.0 // mm, the largest
	bridgingWithin = 1.1  // how closely the radius is found, as a factor
	widestTried    = 8    // additional width tried for a groove, mm
)

var adviceLimits = membrane.AdviceLimits{Wider: widestTried, Within: adviceWithin}

// bringBack says what would show half of a lost groove again.
func (r *Result) bringBack(ctx context.Context, t *trial, lost membrane.Relief) (string, error) {
	var advice membrane.Advice
	var radius, suction float64
	var bolster bool
	ways := [3]func() error{
		func() (err error) {
			bolster, err = r.bolsterHelps(ctx, t, lost)
			return err
		},
		func() (err error) {
			advice, err = t.drape.Advise(ctx, r.Plan.Skin.Lateral, lost, adviceLimits)
			return err
		},
		func() (err error) {
			radius, suction, err = r.closerSuction(ctx, t, lost)
			return err
		},
	}
	if err := workers.Each(ctx, "skin: advice", len(ways), func(n int) error { return ways[n]() }); err != nil {
		return "", err
	}
	var helps []string
	if advice.WiderHelps {
		helps = append(helps, fmt.Sprintf("make it %.1f mm wider", advice.Wider))
	}
	if advice.DeeperHelps {
		helps = append(helps, fmt.Sprintf("carve it %.1f mm deeper", advice.Deeper))
	}
	if radius > 0 {
		helps = append(helps, fmt.Sprintf("draw the skin in closer, to a bridging radius of %.1f mm or less: %s", radius,
			reaching(suction)))
	}
	if bolster {
		helps = append(helps, fmt.Sprintf("tie down a bolster of %g mm along it (pocket.bolsters)", casefile.BolsterDiameter))
	}
	if len(helps) == 0 {
		return fmt.Sprintf("Neither %d mm more width, nor more depth, nor closer suction, nor a bolster shows half of it: "+
			"thinner skin is needed.", widestTried), nil
	}
	sentence := strings.Join(helps, ", or ") + "."
	sentence = strings.ToUpper(sentence[:1]) + sentence[1:]
	if !advice.WiderHelps && !advice.DeeperHelps {
		sentence += fmt.Sprintf(" By itself neither %d mm more width nor more depth is enough.", widestTried)
	}
	return sentence, nil
}

// closerSuction returns the largest bridging radius, mm, at which half of the
// groove would show on the frame as it is, 0 if there is none, and the suction that
// it takes, kPa.
func (r *Result) closerSuction(ctx context.Context, t *trial, lost membrane.Relief) (radius, suction float64, err error) {
	feature := lost.Feature
	feature.Reach = lost.Reach
	from := t.drape
	// By how much closer than now, as the logarithm of a factor.
	now := min(r.Drape.BridgingRadius(), mostBridging)
	if now <= leastBridging {
		return 0, 0, nil
	}
	closest := math.Log(now / leastBridging)
	// Skin across a groove hangs like a string, at first sight.
	guess := math.Log(now / reachingRadius(r.widthOf(lost.Feature.Name), keptEnough*lost.OnFrame))
	closer, ok, err := membrane.Least(closest, math.Log(bridgingWithin), guess, func(closer float64) (bool, error) {
		drape, err := t.drawnIn()
		if closer < closest && err == nil {
			drape, err = from.Again(ctx, now*math.Exp(-closer))
			from = drape
		}
		if err != nil {
			return false, err
		}
		shown, err := drape.Shown(ctx, r.Plan.Skin.Lateral, feature)
		enough := shown >= keptEnough*lost.OnFrame
		if enough {
			skin := r.suction()
			suction = skin.Tension(skin.Strain(drape)) / drape.BridgingRadius()
		}
		return enough, err
	})
	if err != nil || !ok {
		return 0, 0, err
	}
	return now * math.Exp(-closer), suction, nil
}

// flapsNeeded returns the skin, mm², that is to be brought beyond what the flaps bring
// for a drape of an area to stretch less than the limit.
func (r *Result) flapsNeeded(drape, limit float64) float64 {
	return drape/limit - r.Measures.Pocket.Area - r.Measures.Demand.Extra
}

func bringFlaps(more float64) string {
	return fmt.Sprintf("Bring %.0f mm² more skin with the flaps", more)
}

// areaAt returns the area of the drape, mm², where flaps have brought the stretch to
// the limit: less tension lets the skin lie closer.
func (r *Result) areaAt(ctx context.Context, t *trial, limit float64) (float64, error) {
	s := r.suction()
	if r.radiusGiven() || s.Pressure == 0 {
		return r.Drape.DrapeArea, nil
	}
	drape, err := t.drape.Again(ctx, s.Radius(limit-1))
	if err != nil {
		return 0, err
	}
	return r.Drape.DrapeArea * drape.DrapeArea / t.drape.DrapeArea, nil
}

// moreSkin works out what brings the stretch below the limit: flaps, or a wider
// pocket.
func (r *Result) moreSkin(ctx context.Context, t *trial, limit float64) (string, error) {
	area, err := r.areaAt(ctx, t, limit)
	if err != nil {
		return "", err
	}
	advice := bringFlaps(r.flapsNeeded(area, limit))
	if r.drawn() {
		return advice + ", or draw the pocket wider.", nil
	}
	wider, helps, err := r.widerMargin(ctx, t, limit)
	switch {
	case err != nil:
		return "", err
	case helps:
		return fmt.Sprintf("%s, or undermine %.1f mm wider.", advice, wider), nil
	}
	return fmt.Sprintf("%s; undermining up to %.0f mm wider is not enough.", advice, mostWider), nil
}

// mostWider is the widest additional undermining tried, mm, and marginWithin how
// closely it is found.
const (
	mostWider    = 20.0
	marginWithin = 0.25
)

// widerMargin returns the least additional margin at which skin that slides
// freely stretches less than the limit.
func (r *Result) widerMargin(ctx context.Context, t *trial, limit float64) (float64, bool, error) {
	return membrane.Least(mostWider, marginWithin, 0, func(wider float64) (bool, error) {
		c := t.laid
		var err error
		if c.Pocket, err = r.widened(ctx, wider); err != nil {
			return false, err
		}
		drape, err := r.drape(ctx, c, trialOptions())
		if err != nil {
			return false, err
		}
		return drape.DrapeArea < limit*(drape.PocketArea+r.Measures.Demand.Extra), nil
	})
}

// drain says what would let the skin down into a hollow.
func (r *Result) drain(width, depth float64) string {
	radius, now := reachingRadius(width, depth), r.Drape.BridgingRadius()
	if radius >= now {
		return fmt.Sprintf("Drain it: skin that is drawn in to a bridging radius of %.1f mm leaves the corner at the foot "+
			"of "+
			"a wall round.", now)
	}
	words := fmt.Sprintf("Drain it: across %.1f mm skin reaches the floor where it is drawn in to a bridging radius of "+
		"about %.1f mm or less", width, radius)
	if skin := r.suction(); skin.Thickness > 0 {
		words += ": " + reaching(skin.Tension(skin.Strain(r.Drape))/radius)
	}
	return words + "."
}

// widthOf returns the width of a measured groove, mm.
func (r *Result) widthOf(name string) float64 {
	for _, g := range r.Measures.Relief {
		if g.Name == name {
			return g.Width
		}
	}
	return 0
}

// reachingRadius returns the radius of the arc over a groove that just touches
// its floor; half the width where the groove is deeper than that.
func reachingRadius(width, depth float64) float64 {
	half := width / 2
	if depth >= half {
		return half
	}
	return (half*half + depth*depth) / (2 * depth)
}

// widened returns the pocket's edge with an additional margin, mm.
func (r *Result) widened(ctx context.Context, wider float64) (membrane.Region, error) {
	outline, err := r.outline(ctx, r.Plan.Pocket.Margin+wider)
	if err != nil {
		return nil, err
	}
	return newRegion(outline)
}
