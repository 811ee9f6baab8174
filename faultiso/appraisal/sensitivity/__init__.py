"""Which numbers of a model matter for what it concludes from readings."""
