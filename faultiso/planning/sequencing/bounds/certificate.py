"""The strongest lower bound that a given time affords, with its name."""

from __future__ import annotations

from faultiso.planning.sequencing.bounds.blocks import blocks_bound, likely_blocks
from faultiso.planning.sequencing.bounds.perfect import made_perfect
from faultiso.planning.sequencing.search import Search, search_for

BLOCK = 4  # states of a block


def certify(search: Search, seconds: float) -> tuple[float, str]:
    """Minutes that no plan can go below, and by which argument.

    That of the search itself, of the same problem with perfect checks (its search may stop early: its lower
    bound holds at any time), and of blocks of the likeliest states; the greatest of them holds.
    """
    root, problem = search.root, search.moves.problem
    if search.settled:
        return root.low, "exact: searched to the end"
    found = [(root.low, f"search over {search.nodes:,} beliefs")]
    share = seconds / 2
    if not problem.noise_free:
        perfect = search_for(made_perfect(problem), share, megabytes=search.megabytes)
        found.append((perfect.root.low, "checks made perfect"))
    blocks = blocks_bound(problem, likely_blocks(problem, BLOCK), share)
    found.append((blocks, f"blocks of {BLOCK} states"))
    low, name = max(found)
    return min(low, root.high), name
