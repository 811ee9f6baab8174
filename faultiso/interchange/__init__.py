"""Open formats in and out; the one door to pgmpy."""
