package units

import (
	"context"
	"slices"
	"sync"

	"earframe/field"
	"earframe/internal/kept"
)

// Solid is a unit made solid.
type Solid struct {
	Unit  *Unit
	Field field.Field
	Drawn field.Field // without the notches and letters
	Key   kept.Key    // of all that shapes the field
}

// Lettered is a plan's solids with the text carved into the base frame.
type Lettered struct {
	Plain     []Solid    // without letters
	Solids    []Solid    // with them
	Engraving *Engraving // nil if there is none
	Findings  []Finding  // why there is none, where one was asked for
}

// made holds what follows from a plan, once it was asked for. Copies of a plan
// that differ in what shapes no solid share it.
type made struct {
	solids   once[[]Solid]
	lettered once[*Lettered]
}

// once makes a thing the first time it is asked for. A failure is not kept, since
// it may be that of a context.
type once[T any] struct {
	mutex  sync.Mutex    // of what follows, not of the making
	making chan struct{} // closed once made or given up; nil if nobody makes it
	done   bool
	value  T
}

// get returns the thing, or makes it. While one caller makes it others wait, until
// ctx ends their waiting with its error.
func (o *once[T]) get(ctx context.Context, produce func() (T, error)) (T, error) {
	for {
		o.mutex.Lock()
		value, done, busy := o.value, o.done, o.making
		if !done && busy == nil {
			o.making = make(chan struct{})
			o.mutex.Unlock()
			return o.make(produce)
		}
		o.mutex.Unlock()
		if done {
			return value, nil
		}
		select {
		case <-busy:
		case <-ctx.Done():
			return value, ctx.Err()
		}
	}
}

// make makes the thing for all who wait, who are let go even if that panics.
func (o *once[T]) make(produce func() (T, error)) (value T, err error) {
	made := false
	defer func() {
		o.mutex.Lock()
		defer o.mutex.Unlock()
		if made {
			o.value, o.done = value, true
		}
		close(o.making)
		o.making = nil
	}()
	value, err = produce()
	made = err == nil
	return value, err
}

// Solids returns every unit's solid with notches made, without letters, in the
// order of Units. They are made once: the plan must not be changed any more.
func (p *Plan) Solids(ctx context.Context) ([]Solid, error) {
	if p.made == nil { // put together by hand
		return p.makeSolids(ctx)
	}
	return p.made.solids.get(ctx, func() ([]Solid, error) { return p.makeSolids(ctx) })
}

func (p *Plan) makeSolids(ctx context.Context) ([]Solid, error) {
	carved := map[string]field.Field{}
	for _, u := range p.Units {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		solid, err := u.Solid()
		if err != nil {
			return nil, err
		}
		carved[u.Name] = solid
	}
	solids := make([]Solid, 0, len(p.Units))
	for _, u := range p.Units {
		solid := carved[u.Name]
		for _, neighbour := range p.letInto(u) {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			cutter := carved[neighbour.Name]
			if u.Clearance > 0 {
				var err error
				if cutter, err = neighbour.cutter(u); err != nil {
					return nil, err
				}
			}
			solid = field.Difference(solid, cutter)
		}
		solids = append(solids, Solid{u, solid, carved[u.Name], p.ShapeKey(u)})
	}
	return solids, nil
}

// letInto returns the units that are let into a unit. The skin allowance may have
// left nothing of some, which is a finding.
func (p *Plan) letInto(u *Unit) []*Unit {
	var into []*Unit
	for _, name := range u.NotchFor {
		if neighbour := p.Unit(name); neighbour != nil {
			into = append(into, neighbour)
		}
	}
	return into
}

// Lettered returns the solids with the text of the plan carved into the base
// frame's underside. Finding the place for it takes longer than all the rest of a
// plan, so it is done when it is asked for, once.
func (p *Plan) Lettered(ctx context.Context) (*Lettered, error) {
	if p.made == nil {
		return p.makeLettered(ctx)
	}
	return p.made.lettered.get(ctx, func() (*Lettered, error) { return p.makeLettered(ctx) })
}

func (p *Plan) makeLettered(ctx context.Context) (*Lettered, error) {
	solids, err := p.Solids(ctx)
	if err != nil {
		return nil, err
	}
	l := &Lettered{Plain: solids, Solids: slices.Clone(solids)}
	if l.Engraving, l.Findings, err = p.engraving(ctx); err != nil || l.Engraving == nil {
		return l, err
	}
	letters, err := l.Engraving.Solid()
	if err != nil {
		return nil, err
	}
	for i, s := range solids {
		if s.Unit == l.Engraving.unit {
			l.Solids[i].Field = field.Difference(s.Field, letters)
			l.Solids[i].Key = kept.KeyOf(s.Key, l.Engraving.key())
		}
	}
	return l, nil
}
