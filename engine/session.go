package engine

import (
	"context"
	"errors"
	"sync"

	"earframe/internal/workers"
	"earframe/units/casefile"
)

// ErrOvertaken says that an answer was called off because the case has been
// edited since it was asked for.
var ErrOvertaken = errors.New("engine: overtaken by a newer edit")

// Session is a case being worked on. It is safe for concurrent use.
type Session struct {
	engine *Engine

	mutex    sync.Mutex
	current  *casefile.Case
	standing context.Context // of what is asked about the current case
	overtake context.CancelCauseFunc
}

// Open begins to work on a case.
func (e *Engine) Open(c *casefile.Case) *Session {
	s := &Session{engine: e}
	s.Replace(c)
	return s
}

// Case returns the case as it stands.
func (s *Session) Case() *casefile.Case {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.current
}

// Edit sets one value of the case, as With of a case does, and calls off what
// earlier edits are waiting for. An edit that cannot be made leaves all as it was.
func (s *Session) Edit(path string, value any) (*casefile.Case, error) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	edited, err := s.current.With(path, value)
	if err != nil {
		return nil, err
	}
	s.replace(edited)
	return edited, nil
}

// Replace puts another case in its place: one that was undone to, or read anew.
func (s *Session) Replace(c *casefile.Case) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	s.replace(c)
}

func (s *Session) replace(c *casefile.Case) {
	if s.overtake != nil {
		s.overtake(ErrOvertaken)
	}
	s.current = c
	s.standing, s.overtake = context.WithCancelCause(context.Background())
}

// Answer answers for the case as it stands, at the level. It is ErrOvertaken if
// the case is edited meanwhile, and the context's error if ctx ends it.
func (s *Session) Answer(ctx context.Context, level Level, tell workers.Progress) (*Answer, error) {
	s.mutex.Lock()
	c, standing := s.current, s.standing
	s.mutex.Unlock()
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	defer context.AfterFunc(standing, func() { stop(context.Cause(standing)) })()
	answer, err := s.engine.answer(ctx, c, level, tell)
	if err != nil && errors.Is(context.Cause(ctx), ErrOvertaken) {
		return nil, ErrOvertaken
	}
	return answer, err
}

func (e *Engine) answer(ctx context.Context, c *casefile.Case, level Level, tell workers.Progress) (*Answer, error) {
	plan, err := e.Plan(ctx, c)
	if err != nil {
		return nil, err
	}
	return e.Answer(ctx, plan, level, tell)
}
