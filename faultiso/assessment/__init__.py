"""Judging a session from its log: what each step was worth given what was known then, never by hindsight."""
