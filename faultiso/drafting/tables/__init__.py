"""Models from tables that shops have, failure modes and dependency matrices, and the table of a model."""
