"""One builder for each kind of page: from what was computed to blocks."""
