"""What rows read, as weights of the states of variables, each check's error apart.

The same sign with the same truth, read by the same person, is one look: its reading error is drawn once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from faultiso.belief.evidence import weights
from faultiso.belief.observed import sign_of
from faultiso.learning.figures import Kind
from faultiso.learning.roots import Roots
from faultiso.learning.rows import Counted
from faultiso.model.parts import Check, Indication
from faultiso.network.builder import Node
from faultiso.network.network import Array
from faultiso.network.timeline import Timeline


@dataclass(frozen=True)
class Look:
    """``true`` (states,): the place of the outcome that is right; ``shown`` (outcomes, rows): the weight of
    each outcome by what was read; ``chances`` (states, outcomes): of reading each, as the model states them."""

    sign: Indication | Check
    variable: int
    true: NDArray[np.intp]
    shown: Array
    chances: Array

    @property
    def errs(self) -> bool:
        """Whether its errors are figures to learn."""
        return isinstance(self.sign, Check) and len(self.sign.outcomes) > 1

    def at(self, variable: int) -> Look:
        return replace(self, variable=variable)

    def parts(self, errors: Mapping[Kind, float], rows: NDArray[np.intp]) -> list[Array]:
        """The weight of each state (states, rows): read rightly, missed, a false alarm, and rightly quiet.

        Where errors are no figures it is one part.
        """
        shown = self.shown[:, rows]
        if not isinstance(self.sign, Check) or len(self.sign.outcomes) == 1:
            return [self.chances @ shown]
        miss = errors.get("miss", self.sign.miss)
        alarm = errors.get("false_alarm", self.sign.false_alarm)
        quiet = (self.true == 0)[:, None]
        others = shown[1:].sum(axis=0) / (len(shown) - 1)
        return [
            np.where(quiet, 0.0, (1 - miss) * shown[self.true]),
            np.where(quiet, 0.0, miss * shown[0]),
            np.where(quiet, alarm * others, 0.0),
            np.where(quiet, (1 - alarm) * shown[0], 0.0),
        ]


#: of a look's parts, which stand for an error that happened and one that could have
PARTS: Mapping[Kind, tuple[int, int]] = {"miss": (1, 0), "false_alarm": (2, 3)}


def looks_of(ground: Roots, timeline: Timeline, rows: Sequence[Counted]) -> list[Look]:
    """Everything that is read in some row, with what all the rows say of it; variables of the builder."""
    found: dict[tuple[str, Node, int], Array] = {}
    for column, counted in enumerate(rows):
        for reading in counted.row.readings:
            sign = sign_of(ground.model, reading.sign)
            node = ground.true_outcome(sign, timeline, reading.moment)
            key = (sign.name, node, reading.draw)
            if key not in found:
                found[key] = np.ones((len(sign.outcomes), len(rows)))
            of_outcome = weights(reading, sign)
            found[key][:, column] *= [of_outcome[outcome] for outcome in sign.outcomes]
    return [_look(ground, name, node, shown) for (name, node, _), shown in found.items()]


def _look(ground: Roots, name: str, node: Node, shown: Array) -> Look:
    sign = sign_of(ground.model, name)
    rows = ground.reading_chances(sign)
    true = np.array([sign.outcomes.index(label) for label in node.labels], dtype=np.intp)
    return Look(sign, node.variable, true, shown, np.array([rows[label] for label in node.labels]))
