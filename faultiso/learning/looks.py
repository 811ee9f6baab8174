"""What rows read, as weights of the states of variables, each check's error apart.

The same sign with the same truth, read by the same person, is one look: its reading error is drawn once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from faultiso.belief.evidence import Reading, weights
from faultiso.belief.observed import sign_of
from faultiso.learning.figures import Kind
from faultiso.learning.roots import Roots
from faultiso.learning.rows import Counted
from faultiso.model.parts import Check, Indication
from faultiso.network.builder import Node
from faultiso.network.network import Array
from faultiso.network.timeline import Timeline

Key = tuple[str, Node, int]  # the sign, what it truly shows, and who read it


@dataclass(frozen=True)
class Look:
    """``true`` (states,): the place of the outcome that is right; ``shown`` (outcomes, rows): the weight of
    each outcome by what was read; ``chances`` (states, outcomes): of reading each, as in the model."""

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
    found: dict[Key, Array] = {}
    for column, counted in enumerate(rows):
        for key, readings in _together(ground, timeline, counted).items():
            outcomes = sign_of(ground.model, key[0]).outcomes
            if key not in found:
                found[key] = np.ones((len(outcomes), len(rows)))
            found[key][:, column] = _shown(sign_of(ground.model, key[0]), readings)
    return [_look(ground, name, node, shown) for (name, node, _), shown in found.items()]


def _together(ground: Roots, timeline: Timeline, counted: Counted) -> dict[Key, list[Reading]]:
    found: dict[Key, list[Reading]] = {}
    for reading in counted.row.readings:
        sign = sign_of(ground.model, reading.sign)
        node = ground.true_outcome(sign, timeline, reading.moment)
        found.setdefault((sign.name, node, reading.draw), []).append(reading)
    return found


def _shown(sign: Indication | Check, readings: Sequence[Reading]) -> Array:
    """Plain answers must all hold; of numbers and doubtful answers the latest counts (as in a scene)."""
    counting = [reading for reading in readings if reading.hard]
    counting += [reading for reading in readings if not reading.hard][-1:]
    found = np.ones(len(sign.outcomes))
    for reading in counting:
        of_outcome = weights(reading, sign)
        found *= [of_outcome[outcome] for outcome in sign.outcomes]
    return found


def _look(ground: Roots, name: str, node: Node, shown: Array) -> Look:
    sign = sign_of(ground.model, name)
    rows = ground.reading_chances(sign)
    true = np.array([sign.outcomes.index(label) for label in node.labels], dtype=np.intp)
    return Look(sign, node.variable, true, shown, np.array([rows[label] for label in node.labels]))
