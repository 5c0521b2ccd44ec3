"""The shop sheet and the full-size templates."""
