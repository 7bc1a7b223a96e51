"""Names, verdicts and sentences: one source for every way of showing a result."""
