"""Exact inference on a network: a plan that can be priced, and loops over arrays that run it."""
