"""How well a model can be diagnosed, and which of its numbers matter."""
