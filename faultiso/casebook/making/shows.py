"""What the indications most likely show in each situation of a model, with given faults."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

import numpy as np

from faultiso.belief.diagnoses import evaluate
from faultiso.belief.reasoner import Reasoner
from faultiso.belief.scene import Scene
from faultiso.belief.value import open_signs
from faultiso.model.expected import expected
from faultiso.network.builder import CONSTANT
from faultiso.network.timeline import start

Faults = frozenset[str]
Shown = Mapping[str, str]


class Shows:
    """Outcomes by indication, each by itself the likeliest, with nothing seen before. Worked out once."""

    def __init__(self, reasoner: Reasoner) -> None:
        self.model = reasoner.model
        self._reasoner = reasoner
        self._scenes: dict[tuple[str, str], tuple[Scene, float]] = {}
        self._known: dict[tuple[str, Faults], Shown] = {}

    @cached_property
    def _alone(self) -> tuple[Faults, ...]:
        return (frozenset(), *(frozenset((name,)) for name in self.model.faults))

    def likely(self, situation: str, faults: Faults) -> Shown:
        """What every indication most likely shows there with exactly these faults."""
        if (situation, faults) not in self._known:
            together = self._alone if faults in self._alone else (faults,)
            rows = self._read_off(*self._scene(situation, situation), together)
            self._known.update({(situation, s): row for s, row in zip(together, rows, strict=True)})
        return self._known[situation, faults]

    def after(self, situation: str, later: str, faults: Faults) -> Shown:
        """What every indication most likely shows in the later situation, having been in the other before."""
        scene, log_evidence = self._scene(situation, later)
        return self._read_off(scene, log_evidence, (faults,))[0]

    def normal(self, situation: str) -> Shown:
        """What every indication shows there with nothing wrong."""
        shown = expected(self.model, self.model.situations[situation].values)
        return {name: shown[name] for name in self.model.indications}

    def wrong(self, situation: str, faults: Faults) -> tuple[str, ...]:
        """The indications that most likely show there what they do not show with nothing wrong."""
        normal = self.normal(situation)
        return tuple(n for n, outcome in self.likely(situation, faults).items() if outcome != normal[n])

    def _read_off(self, scene: Scene, log_evidence: float, sets: tuple[Faults, ...]) -> list[Shown]:
        asked = tuple(scene.asked.values())
        wanted = sorted({sign.variable for sign in asked} - {CONSTANT})
        columns = evaluate(scene, log_evidence, sets, wanted)
        signs = open_signs(asked, columns, np.full(len(sets), 1.0 / len(sets)))
        best = {name: sign.given.argmax(axis=1).tolist() for name, sign in signs.items()}
        return [
            {name: signs[name].outcomes[best[name][row]] for name in self.model.indications}
            for row in range(len(sets))
        ]

    def _scene(self, first: str, then: str) -> tuple[Scene, float]:
        if (first, then) not in self._scenes:
            belief = self._reasoner.belief(start(self.model.situations[first].values), ())
            scene = belief.scene_of_indications(self.model.situations[then].values).scene
            self._scenes[first, then] = scene, belief.now.log_evidence
        return self._scenes[first, then]
