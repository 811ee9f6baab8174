"""What the readings say about the faults: posteriors, diagnoses, surprise, value of checks, reasons."""
