"""Writing models: a guided start, tables into models, differences, what a reviewer looks at."""
