"""From YAML text to a Model, with every problem of the file in one run."""
