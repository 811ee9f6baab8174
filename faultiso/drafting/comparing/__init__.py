"""What changed between two models: their parts, their figures, and what they answer."""
