"""A plan as a chart that is followed with a finger: on the screen, on paper, as a drawing, as data."""
