"""Sealed packs: cases with their models in one encrypted file, for examinations."""
