"""Writing models: a guided start, tables turned into models, what changed between two models, what a reviewer looks at."""
