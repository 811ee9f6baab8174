"""What every other room may use: problems with their place, cleaned text, numbers and units, the notice."""
