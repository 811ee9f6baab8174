"""Which draw of the numbered streams a seed stands for: the first in which all readings are as given."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from faultiso.base.problems import FaultisoError
from faultiso.world.chance import Shown
from faultiso.world.draws import Draws
from faultiso.world.hidden import Hidden
from faultiso.world.streams import Whole

MOST_DRAWS = 2**20  # looked at for one seed
AT_ONCE = 2**14
SURE = 20  # draws expected to fit: that none does has probability exp(-20)


class TooImprobable(FaultisoError):
    """No draw within the limit gives the readings; the text says how probable they are."""


def refuse_improbable(chance: float, most: int = MOST_DRAWS) -> None:
    """Raises TooImprobable if readings of this chance are not sure to come up within ``most`` draws."""
    if chance * most < SURE:
        raise TooImprobable(
            f"given the hidden faults the given readings have probability {chance:.2g};"
            f" less than {SURE / most:.2g} can not be drawn"
        )


def accepted(hidden: Hidden, seeds: Whole, shown: Sequence[Shown], most: int = MOST_DRAWS) -> Whole:
    """The number of the first draw of each seed that shows all of ``shown``: exact draws given these.

    What is named first is looked at first, so the least probable should be. Raises TooImprobable.
    """
    found = np.zeros(len(seeds), dtype=np.uint64)
    if not shown:
        return found
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
        raise TooImprobable(
            f"none of {most:,} draws shows all the given readings: given the hidden faults they are less "
            f"probable than about 1 in {most // 3:,}"  # 95 % confidence: the rule of three
        )
    return found


def _fits(hidden: Hidden, seeds: Whole, numbers: Whole, shown: Sequence[Shown]) -> NDArray[np.bool_]:
    """Whether each draw shows everything; those that do not show one reading are not looked at further."""
    draws, left = Draws(hidden, seeds, numbers), np.arange(len(seeds))
    for look, outcome in shown:
        fitting = np.broadcast_to(draws.outcomes(look) == outcome, left.shape)
        draws, left = draws.kept(fitting), left[fitting]
    fits = np.zeros(len(seeds), dtype=bool)
    fits[left] = True
    return fits
