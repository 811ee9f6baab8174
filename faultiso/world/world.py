"""A world: hidden faults and a seed, which answer any question about the system in any conditions.

The responses, leaks, visits, luck of work and reading errors are drawn once, each from a random stream of
its own, from the model's tables given the hidden faults and the readings that are known beforehand. The
answers are then a plain function of these draws and of what was done to the system; they do not hang on
which questions were asked before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from faultiso.base.nearest import listed
from faultiso.base.problems import UsageError
from faultiso.model.system import Model
from faultiso.network.builder import Node
from faultiso.network.ground import PRESENT
from faultiso.network.timeline import Timeline
from faultiso.world.draws import Draws
from faultiso.world.hidden import Hidden
from faultiso.world.known import MOST_DRAWS, AllKnown, Known
from faultiso.world.numbers import number_shown
from faultiso.world.streams import LARGEST_SEED, Whole


@dataclass(frozen=True, slots=True)
class Answer:
    """What a sign shows; ``number`` in ``unit`` where it has numbers."""

    outcome: str
    number: float | None = None
    unit: str = ""


class Worlds:
    """Many worlds with the same hidden faults and known readings, one for each seed."""

    def __init__(
        self,
        model: Model,
        faults: frozenset[str],
        seeds: Sequence[int],
        known: Sequence[Known] = (),
        beyond_model: bool = False,
        most_draws: int = MOST_DRAWS,
    ) -> None:
        """Raises UsageError if the model calls the faults or a known reading impossible, TooImprobable if
        known readings would not surely be drawn in ``most_draws`` draws.

        ``beyond_model``: impossible known readings are shown all the same; nothing follows from them.
        """
        self.hidden = Hidden(model, faults)
        self.known = AllKnown(self.hidden, known, beyond_model)
        if self.known.impossible and not beyond_model:
            raise self._impossible()
        whole = _whole(seeds)
        self.draws = Draws(self.hidden, whole, self.known.draws(whole, most_draws))

    def answers(self, sign: str, timeline: Timeline, moment: int, draw: int = 0) -> list[Answer]:
        """What the sign shows at a moment to the reader who has this draw of reading errors, in each world.

        The timeline is the history so far: that of the known readings, gone on with. The same question in
        the same visit has the same answer. Raises UsageError for an unknown sign.
        """
        look = self.hidden.look(sign, timeline, moment, draw)
        known = self.known.of(look)
        outcomes = [look.sign.outcomes[o] for o in self.outcomes(sign, timeline, moment, draw)]
        if not look.sign.ranges:
            return [Answer(outcome) for outcome in outcomes]
        if known is not None and known.number is not None:
            return [Answer(known.outcome, known.number, look.sign.unit)] * len(outcomes)
        places = self.draws.uniform(f"place in range, {look.name}").tolist()
        errors = self.draws.uniform(f"scatter, {look.name}").tolist()
        numbers = [number_shown(look.sign, *each) for each in zip(outcomes, places, errors, strict=True)]
        return [Answer(o, n, look.sign.unit) for o, n in zip(outcomes, numbers, strict=True)]

    def outcomes(self, sign: str, timeline: Timeline, moment: int, draw: int = 0) -> NDArray[np.int16]:
        """The same as places in the sign's outcomes, shape (worlds,)."""
        look = self.hidden.look(sign, timeline, moment, draw)
        known = self.known.of(look)
        if known is not None:
            return np.full(len(self.draws.seeds), look.sign.outcomes.index(known.outcome), dtype=np.int16)
        return np.broadcast_to(self.draws.outcomes(look), self.draws.seeds.shape)

    def truths(self, name: str, timeline: Timeline, moment: int) -> list[str]:
        """The true level of a quantity, or the outcome that is right for a sign, in each world."""
        return self._labels(self.hidden.true_node(name, timeline, moment))

    def faults(self, timeline: Timeline, moment: int) -> list[frozenset[str]]:
        """The faults that are there at a moment in each world, silenced or not, brought out or not."""
        there = {
            name: self._labels(self.hidden.ground.present(name, timeline, moment))
            for name in self.hidden.model.faults
        }
        each = range(len(self.draws.seeds))
        return [frozenset(name for name, labels in there.items() if labels[i] == PRESENT) for i in each]

    def _labels(self, node: Node) -> list[str]:
        if node.constant:
            return list(node.labels) * len(self.draws.seeds)
        states = np.broadcast_to(self.draws.states(node.variable), self.draws.seeds.shape)
        return [node.labels[state] for state in states]

    def _impossible(self) -> UsageError:
        model, faults = self.hidden.model.name, sorted(self.hidden.faults)
        return UsageError(
            f"{self.known.impossible[0]} is impossible in {model} with {listed(faults, 'and')} wrong"
            " and what is known before it"
        )


class World:
    """One world: the worlds of a single seed."""

    def __init__(
        self,
        model: Model,
        faults: frozenset[str],
        seed: int,
        known: Sequence[Known] = (),
        beyond_model: bool = False,
    ) -> None:
        """Raises UsageError and TooImprobable as ``Worlds`` does."""
        self.all = Worlds(model, faults, [seed], known, beyond_model)
        self.known = self.all.known

    def answer(self, sign: str, timeline: Timeline, moment: int, draw: int = 0) -> Answer:
        """What the sign shows at a moment of the history so far; the same question, the same answer."""
        return self.all.answers(sign, timeline, moment, draw)[0]

    def truth(self, name: str, timeline: Timeline, moment: int) -> str:
        """The true level of a quantity, or the outcome that is right for a sign."""
        return self.all.truths(name, timeline, moment)[0]

    def faults(self, timeline: Timeline, moment: int) -> frozenset[str]:
        """The faults that are there at a moment: after what was repaired, swapped, left behind."""
        return self.all.faults(timeline, moment)[0]


def _whole(seeds: Sequence[int]) -> Whole:
    if not all(0 <= seed <= LARGEST_SEED for seed in seeds):
        raise UsageError(f"a seed is a whole number from 0 to {LARGEST_SEED}")
    return np.array(seeds, dtype=np.uint64)
