"""Which draw of the numbered streams a seed stands for: the first in which the readings are as known.

Readings that share no stream are independent, so each group of those that do has a draw number of its own.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from faultiso.base.nearest import listed
from faultiso.base.problems import FaultisoError
from faultiso.world.chance import Shown
from faultiso.world.draws import Draws
from faultiso.world.hidden import Hidden
from faultiso.world.streams import Whole

AT_ONCE = 2**14


class TooImprobable(FaultisoError):
    """Known readings that hardly ever come up; the text says which, and how probable they are.

    Where no draw has been found, what is said is that with 95 % confidence (the rule of three).
    """


def groups(hidden: Hidden, shown: Sequence[Shown]) -> list[list[int]]:
    """The places of the readings, parted so that readings of different groups have no stream in common."""
    parted: list[tuple[set[str], list[int]]] = []
    for place, item in enumerate(shown):
        streams, places = _streams(hidden, [item]), [place]
        apart = [group for group in parted if not group[0] & streams]
        for others, before in (group for group in parted if group[0] & streams):
            streams, places = streams | others, [*before, *places]
        parted = [*apart, (streams, sorted(places))]
    return [places for _, places in parted]


def first_draws(hidden: Hidden, seeds: Whole, shown: Sequence[Shown], most: int) -> dict[str, Whole]:
    """Of each stream that matters to ``shown``, the number of the first draw of each seed that shows it all.

    These are exact draws given all of ``shown``. What comes first is looked at first, so the least probable
    should. Raises TooImprobable if one seed finds none among ``most`` draws.
    """
    return dict.fromkeys(sorted(_streams(hidden, shown)), _first(hidden, seeds, shown, most))


def _streams(hidden: Hidden, shown: Sequence[Shown]) -> set[str]:
    found = {look.name for look, _ in shown}
    for look, _ in shown:
        if not look.node.constant:
            found |= {
                hidden.variables.variable(v).stream for v in hidden.variables.needed(look.node.variable)
            }
    return found - {""}


def _first(hidden: Hidden, seeds: Whole, shown: Sequence[Shown], most: int) -> Whole:
    """The number of the first draw of each seed that shows all of ``shown``."""
    found = np.zeros(len(seeds), dtype=np.uint64)
    waiting, first = np.arange(len(seeds)), 0
    while len(waiting) and first < most:
        block = min(max(AT_ONCE // len(waiting), 1), most - first)
        numbers = np.arange(first, first + block, dtype=np.uint64)
        fits = _fits(hidden, np.repeat(seeds[waiting], block), np.tile(numbers, len(waiting)), shown)
        fits = fits.reshape(len(waiting), block)
        some = fits.any(axis=1)
        found[waiting[some]] = numbers[fits[some].argmax(axis=1)]
        waiting, first = waiting[~some], first + block
    if len(waiting):
        raise TooImprobable(f"{in_words(shown)}: less probable than {3 / most:.1g}, given the hidden faults")
    return found


def _fits(hidden: Hidden, seeds: Whole, numbers: Whole, shown: Sequence[Shown]) -> NDArray[np.bool_]:
    """Whether each draw shows everything; those that do not show one reading are not looked at further."""
    left = np.arange(len(seeds))
    for item in shown:
        streams = dict.fromkeys(_streams(hidden, [item]), numbers[left])
        look, outcome = item
        shows = Draws(hidden, seeds[left], streams).outcomes(look) == outcome
        left = left[np.broadcast_to(shows, left.shape)]
    fits = np.zeros(len(seeds), dtype=bool)
    fits[left] = True
    return fits


def in_words(shown: Sequence[Shown]) -> str:
    return listed([f"{look.sign.name} = {look.sign.outcomes[outcome]}" for look, outcome in shown], "and")
