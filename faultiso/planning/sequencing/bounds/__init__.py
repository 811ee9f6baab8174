"""Lower bounds on the expected minutes of every plan, one idea a file; each is tested to be admissible."""
