"""One person working one fault: what was said and done, and what it comes to."""
