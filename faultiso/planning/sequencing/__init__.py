"""The sequential planning problem on its own: arrays and minutes, no model, no network."""
