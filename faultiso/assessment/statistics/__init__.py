"""Statistics of a class and of stated confidence: pure functions, each with its published source."""
