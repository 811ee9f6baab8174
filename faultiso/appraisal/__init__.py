"""Judging a model: what its signs can tell, which of its numbers matter, how grave its faults are."""
