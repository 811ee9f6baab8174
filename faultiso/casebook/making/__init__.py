"""How cases are made: drawn by a seed, begun by questions, or begun from a work order."""
