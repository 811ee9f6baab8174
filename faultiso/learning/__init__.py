"""What closed work orders say of the figures of a model, and how well a model explains them."""
