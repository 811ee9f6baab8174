"""The strongest of the bounds that are quick enough to be asked at every belief of a search."""

from __future__ import annotations

import numpy as np

from faultiso.planning.sequencing.bounds.clairvoyant import clairvoyant
from faultiso.planning.sequencing.bounds.information import applies, entropy_bound, huffman_bound
from faultiso.planning.sequencing.moves import Moves
from faultiso.planning.sequencing.problem import Array


def strongest(moves: Moves, beliefs: Array, left: int | None = None) -> Array:
    """Clairvoyant, and for isolation by noise-free checks entropy and Huffman; for rows of beliefs."""
    found = clairvoyant(moves, beliefs, left)
    if not applies(moves):
        return found
    told = [max(entropy_bound(moves, belief), huffman_bound(moves, belief)) for belief in beliefs]
    return np.maximum(found, told)
