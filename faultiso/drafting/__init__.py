"""Writing models: a guided start, tables turned into models, differences, what a reviewer looks at."""
