package kept

import (
	"container/list"
	"context"
	"sync"
)

// Store holds what was made. It is safe for concurrent use; a nil Store keeps
// nothing.
type Store struct {
	bound int64

	mutex  sync.Mutex
	held   int64
	byKey  map[Key]*list.Element // of order
	order  *list.List            // of *item, what was asked for last in front
	making map[Key]chan struct{} // closed once made, or given up
	counts Counts
}

type item struct {
	key   Key
	value any
	bytes int64
}

// Counts says how often a store was asked.
type Counts struct {
	Found int   // how often a thing was there
	Made  int   // how often it had to be made
	Bytes int64 // held now
	Items int   // held now
}

// NewStore returns a store that holds at most so many bytes, by the sizes its
// users tell.
func NewStore(bound int64) *Store {
	return &Store{bound: bound, byKey: map[Key]*list.Element{}, order: list.New(), making: map[Key]chan struct{}{}}
}

// Counts returns how often the store was asked so far, and what it holds.
func (s *Store) Counts() Counts {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	counts := s.counts
	counts.Bytes, counts.Items = s.held, s.order.Len()
	return counts
}

// Get returns what is kept under the key, or makes it and keeps it; bytes tells
// its size. While one caller makes a thing, others who ask for it wait. A
// failure is not kept: the next one who asks makes it anew. ctx ends waiting and
// making with its error.
func Get[T any](
	ctx context.Context, s *Store, key Key, bytes func(T) int64, produce func(context.Context) (T, error),
) (T, error) {
	var none T
	if s == nil {
		return produce(ctx)
	}
	for {
		if err := ctx.Err(); err != nil {
			return none, err
		}
		value, busy := s.find(key)
		switch {
		case value != nil:
			return value.(T), nil
		case busy != nil:
			select {
			case <-busy:
			case <-ctx.Done():
			}
			continue
		}
		return give(ctx, s, key, bytes, produce)
	}
}

// give makes what others may be waiting for; they are let go even if making it
// panics.
func give[T any](
	ctx context.Context, s *Store, key Key, bytes func(T) int64, produce func(context.Context) (T, error),
) (made T, err error) {
	var value any
	var size int64
	defer func() { s.put(key, value, size) }()
	if made, err = produce(ctx); err == nil {
		value, size = made, bytes(made)
	}
	return made, err
}

// find returns what is kept, or a channel that is closed once another caller has
// made it; neither if the caller has to make it.
func (s *Store) find(key Key) (value any, busy chan struct{}) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if at, ok := s.byKey[key]; ok {
		s.order.MoveToFront(at)
		s.counts.Found++
		return at.Value.(*item).value, nil
	}
	if busy, ok := s.making[key]; ok {
		return nil, busy
	}
	s.counts.Made++
	s.making[key] = make(chan struct{})
	return nil, nil
}

// put keeps a value, nil if none could be made, and lets go of what has no room
// any more. A thing larger than the whole store is not kept.
func (s *Store) put(key Key, value any, bytes int64) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	close(s.making[key])
	delete(s.making, key)
	if value == nil || bytes > s.bound {
		return
	}
	s.byKey[key] = s.order.PushFront(&item{key, value, bytes})
	s.held += bytes
	for s.held > s.bound {
		last := s.order.Remove(s.order.Back()).(*item)
		delete(s.byKey, last.key)
		s.held -= last.bytes
	}
}
