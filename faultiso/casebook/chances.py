"""How probable a case is: its complaint given its truth, its truth given its complaint, its pins.

All of it exact, by Bayes: P(readings | exactly these faults) is P(these faults | readings) P(readings) /
P(these faults), each chance of a set from one column in which every fault is known.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from faultiso.belief.belief import Belief
from faultiso.belief.diagnoses import posterior_of_sets
from faultiso.belief.evidence import Reading
from faultiso.belief.reasoner import Reasoner
from faultiso.network.timeline import Timeline


def chance_of_set(belief: Belief, faults: Iterable[str]) -> float:
    """P(exactly these faults are present | the readings of the belief)."""
    chosen = [frozenset(faults)]
    return float(posterior_of_sets(belief.now.scene, belief.now.columns(chosen), chosen)[0])


class Given:
    """What is probable given that exactly some faults are present, from the beginning on."""

    def __init__(self, reasoner: Reasoner, faults: Iterable[str], timeline: Timeline) -> None:
        self._reasoner = reasoner
        self._faults = frozenset(faults)
        self._timeline = timeline
        self._prior = chance_of_set(reasoner.belief(timeline, ()), self._faults)

    def log_chance(self, readings: Sequence[Reading]) -> float:
        """Natural logarithm of P(readings | faults); a number counts as its level does."""
        belief = self._reasoner.belief(self._timeline, readings)
        if not belief.possible or self._prior <= 0:
            return -math.inf
        joint = chance_of_set(belief, self._faults)
        return math.log(joint) + belief.now.log_evidence - math.log(self._prior) if joint > 0 else -math.inf
