"""How a case answers: hidden faults and a seed, and the plain function that the model then is."""
