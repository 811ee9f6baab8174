"""The readings that a world must give: what they say, how probable they are, and which draws give them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from faultiso.base.nearest import listed
from faultiso.base.problems import TooLarge, UsageError
from faultiso.network.timeline import Timeline
from faultiso.world.accept import TooImprobable, first_draws, groups, in_words
from faultiso.world.chance import Shown, chances
from faultiso.world.hidden import Hidden, Look
from faultiso.world.streams import Whole

MOST_DRAWS = 2**20  # looked at for one seed and group of readings that hang together
SURE = 20  # draws expected to fit: that none does has probability exp(-20)


@dataclass(frozen=True, slots=True)
class Known:
    """A reading of the complaint, or one that is pinned by hand.

    ``moment`` of the timeline, by reader ``draw``; ``number`` if the sign has numbers and it matters.
    """

    sign: str
    outcome: str
    timeline: Timeline
    moment: int
    draw: int = 0
    number: float | None = None

    def __str__(self) -> str:
        return f"{self.sign} = {self.outcome} (moment {self.moment + 1})"


class AllKnown:
    """Known readings, given the hidden faults."""

    def __init__(self, hidden: Hidden, known: Sequence[Known], beyond_model: bool = False) -> None:
        """Raises UsageError if a sign or an outcome does not exist, or one reading is to show two things.

        ``beyond_model``: what the model calls one reading may have shown two things; the last of them stays.
        """
        self.known = tuple(known)
        self._hidden, self._beyond_model = hidden, beyond_model
        self._shown = [_shown(hidden, item) for item in known]
        self._of_look: dict[str, Known] = {}
        for (look, _), item in zip(self._shown, known, strict=True):
            before = self._of_look.setdefault(look.name, item)
            if (before.outcome, before.number) == (item.outcome, item.number):
                continue
            if not beyond_model:
                raise UsageError(f"{before} and {item} are one and the same reading, but differ")
            self._of_look[look.name] = item

    def of(self, look: Look) -> Known | None:
        """What is known of a look, if anything is."""
        return self._of_look.get(look.name)

    @cached_property
    def chances(self) -> tuple[float, ...] | None:
        """P(known reading | those before it, the faults) of each, leaving out of the rest what is impossible.

        None if that is too much to work out.
        """
        try:
            return tuple(chances(self._hidden, self._shown))
        except TooLarge:
            return None

    @property
    def impossible(self) -> tuple[Known, ...]:
        """Those that the model calls impossible after the ones before them."""
        return tuple(k for k, chance in zip(self.known, self.chances or (), strict=False) if chance == 0)

    def improbable(self, below: float) -> list[tuple[Known, float]]:
        """Those that are possible after the ones before them, but less probable than ``below``."""
        each = zip(self.known, self.chances or (), strict=False)
        return [(known, chance) for known, chance in each if 0 < chance < below]

    @property
    def chance(self) -> float | None:
        """P(all that are possible | faults); None if that is too much to work out."""
        return None if self.chances is None else math.prod(chance for chance in self.chances if chance)

    def draws(self, seeds: Whole, most: int = MOST_DRAWS) -> dict[str, Whole]:
        """Of each stream that matters, the draw that each seed uses; draw 0 of all others.

        What is impossible is left out. Raises TooImprobable if it is not sure that ``most`` draws are enough;
        beyond the model nothing follows from what is so improbable.
        """
        found: dict[str, Whole] = {}
        places = self._least_probable_first()
        for group in groups(self._hidden, [self._shown[place] for place in places]):
            chosen = [places[number] for number in group]
            shown = [self._shown[place] for place in chosen]
            try:
                if self.chances is not None:
                    _refuse_improbable(shown, math.prod(self.chances[place] for place in chosen), most)
                found |= first_draws(self._hidden, seeds, shown, most)
            except TooImprobable:
                if not self._beyond_model:
                    raise
        return found

    def _least_probable_first(self) -> list[int]:
        """The places of what is possible, so ordered that few draws are looked at for long."""
        places = range(len(self._shown))
        if self.chances is None:
            return list(places)
        each = self.chances
        return sorted((place for place in places if each[place]), key=lambda place: each[place])


def _refuse_improbable(shown: Sequence[Shown], chance: float, most: int) -> None:
    if chance * most < SURE:
        raise TooImprobable(
            f"{in_words(shown)}: probability {chance:.2g} given the hidden faults; less than"
            f" {SURE / most:.2g} can not be drawn"
        )


def _shown(hidden: Hidden, known: Known) -> Shown:
    look = hidden.look(known.sign, known.timeline, known.moment, known.draw)
    if known.outcome not in look.sign.outcomes:
        raise UsageError(f"{known.sign} cannot be {known.outcome!r}; expected {listed(look.sign.outcomes)}")
    return look, look.sign.outcomes.index(known.outcome)
