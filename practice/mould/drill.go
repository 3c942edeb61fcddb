package mould

import (
	"math"

	"earframe/field"

	"github.com/go-gl/mathgl/mgl64"
)

// beyondTop, mm, is how far a channel goes on above the mould, so that its end
// face and the mould's are not one.
const beyondTop = 0.5

// drill plans funnels and vents and adds them to the mould.
func (b *builder) drill(t *ceiling) {
	peaks := t.peaks()
	var volume float64
	for cavity := range t.count {
		plan := t.planChannels(int32(cavity+1), peaks, b.options.Printer)
		funnel := b.funnel(t, plan.funnel)
		b.Funnels = append(b.Funnels, funnel)
		volume += funnel.volume(b.block.top)
		for i, k := range plan.vents {
			vent := b.vent(t, k, plan.reason[i])
			b.Vents = append(b.Vents, vent)
			volume += vent.volume(b.block.top)
		}
	}
	b.ChannelsML = volume / cubicMMPerML
}

// funnel is an upright throat that opens at 45 degrees as wide as the block and
// the keys beside it leave room for.
func (b *builder) funnel(t *ceiling, k int) Channel {
	at, throat := t.place(k), t.throatAt(k)
	room := -b.block.region.Distance(at) - b.options.Printer.Wall
	for _, key := range b.Keys {
		room = math.Min(room, key.At.Vec2().Sub(at).Len()-key.Diameter/2-key.Clearance-b.options.Printer.Wall)
	}
	top := b.block.top
	rise := math.Min(mouthDiameter/2, room) - throat/2
	rise = math.Max(math.Min(rise, (top-t.height[k])*funnelShare), 0)
	foot := t.lowestIn(k, throat/2) - channelDip
	c := Channel{At: mgl64.Vec3{at[0], at[1], t.height[k]}, Diameter: throat, Mouth: throat + 2*rise,
		Reason: forPouring}
	c.tapers = []*taper{newTaper(at, foot, top+beyondTop, throat/2, throat/2)}
	if rise > 0 {
		c.tapers = append(c.tapers, newTaper(at, top-rise, top+beyondTop, throat/2, throat/2+rise+beyondTop))
	}
	return c
}

// funnelShare is how much of the mould over the cavity the funnel's mouth takes.
const funnelShare = 0.8

func (b *builder) vent(t *ceiling, k int, reason string) Channel {
	at, diameter := t.place(k), ventFor(b.options.Printer)
	foot := t.lowestIn(k, diameter/2) - channelDip
	return Channel{
		At: mgl64.Vec3{at[0], at[1], t.height[k]}, Diameter: diameter, Mouth: diameter, Reason: reason,
		tapers: []*taper{newTaper(at, foot, b.block.top+beyondTop, diameter/2, diameter/2)},
	}
}

// volume returns what the channel holds between the cavity's ceiling and the
// mould's top, mm³.
func (c Channel) volume(top float64) float64 {
	throat, mouth := c.Diameter/2, c.Mouth/2
	rise := mouth - throat
	cone := newTaper(c.At.Vec2(), top-rise, top, throat, mouth)
	volume := math.Pi * throat * throat * (top - rise - c.At[2])
	if rise > 0 {
		volume += cone.volume()
	}
	return volume
}

// raise moves the parting surface up by dz mm.
func (p *Parting) raise(dz float64) {
	p.Lowest += dz
	p.Highest += dz
	if z, ok := p.surface.(field.Level); ok {
		p.surface = z + field.Level(dz)
		return
	}
	p.surface = field.Stack(p.surface, field.Level(dz))
}
