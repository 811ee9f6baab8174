"""Cases: a model, a write-up and a hidden truth; how they are written, judged and found."""
