"""A model in given conditions as a network of tables over discrete variables."""
