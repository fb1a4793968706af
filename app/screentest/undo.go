package screentest

// Undo takes the last act back, as the window does, and returns what it was.
func (s *Screen) Undo() string {
	s.T.Helper()
	doing, err := s.Store.Undo(s.T.Context(), s.Session.Person)
	if err != nil {
		s.T.Fatalf("taking the last act back: %v", err)
	}
	s.Drain()
	return doing.String()
}
