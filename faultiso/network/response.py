"""One cause's answer as a function of its source and of one persistent uniform number.

The number is cut into pieces at every boundary of every distribution that the cause has, over all
source levels and conditions; within a piece the inverse distribution is constant (comonotone responses).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from faultiso.model.parts import Cause, Chances

MERGE_WITHIN = 1e-12  # two boundaries closer than this are one


@dataclass(frozen=True)
class Response:
    """``widths[k]`` is the probability of piece ``pieces[k]``; levels by case, source value and piece."""

    pieces: tuple[str, ...]
    widths: tuple[float, ...]
    levels: tuple[dict[str, dict[str, str]], ...]
    quiet: str

    def level(self, case: int, source: str, piece: str) -> str:
        """The level given by this source value in this case, for this piece of the uniform number."""
        by_piece = self.levels[case].get(source)
        return by_piece[piece] if by_piece else self.quiet


def response_of(cause: Cause, levels: Sequence[str]) -> Response:
    """The response function of a cause on a quantity with these levels, the quiet one first."""
    spreads = [spread for response in cause.responses for spread in response.gives.values()]
    cuts = _merged(sorted({0.0, 1.0, *(c for spread in spreads for c in _cumulative(spread, levels))}))
    pieces = tuple(str(k) for k in range(len(cuts) - 1))
    middles = [(low + high) / 2 for low, high in pairwise(cuts)]
    tables = tuple(
        {
            source: {p: _inverse(spread, levels, u) for p, u in zip(pieces, middles, strict=True)}
            for source, spread in response.gives.items()
        }
        for response in cause.responses
    )
    widths = tuple(high - low for low, high in pairwise(cuts))
    return Response(pieces, widths, tables, levels[0])


def _cumulative(spread: Chances, levels: Sequence[str]) -> list[float]:
    """Cumulative probability up to and with each level; what is missing to one is the quiet level."""
    quiet = 1.0 - sum(spread.get(level, 0.0) for level in levels[1:])
    total, sums = max(quiet, 0.0), [max(quiet, 0.0)]
    for level in levels[1:]:
        total += spread.get(level, 0.0)
        sums.append(min(total, 1.0))
    return sums


def _inverse(spread: Chances, levels: Sequence[str], u: float) -> str:
    for level, up_to in zip(levels, _cumulative(spread, levels), strict=True):
        if u < up_to:
            return level
    return levels[-1]


def _merged(cuts: list[float]) -> list[float]:
    kept = [cuts[0]]
    for cut in cuts[1:]:
        if cut - kept[-1] > MERGE_WITHIN:
            kept.append(cut)
    kept[-1] = 1.0
    return kept
