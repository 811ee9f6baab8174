"""What the reasoner expects to be read when it is told which faults are there: exact, by its own tree."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from faultiso.belief.evidence import Reading
from faultiso.belief.scene import Asked, Scene, SceneMaker
from faultiso.model.system import Model
from faultiso.network.builder import CONSTANT
from faultiso.network.ground import Grounding
from faultiso.network.timeline import Timeline

Place = tuple[str, int]  # a sign and the moment at which it is read


@dataclass
class Believed:
    """For a timeline without work: the faults are then the same from its beginning to its end."""

    model: Model
    timeline: Timeline
    faults: frozenset[str]
    reader: int = 1
    maker: SceneMaker = field(init=False)

    def __post_init__(self) -> None:
        self.maker = SceneMaker(Grounding(self.model))

    def joint(self, one: Place, two: Place) -> NDArray[np.float64]:
        """P(outcome of one, outcome of two | faults)."""
        first = self.chances([one])[0]
        outcomes = self._outcomes(one[0])
        rows = []
        for outcome, chance in zip(outcomes, first, strict=True):
            read = [Reading(one[0], outcome=outcome, moment=one[1], draw=self.reader)] if chance else []
            rows.append(chance * self.chances([two], read)[0])
        return np.array(rows)

    def chances(self, places: Sequence[Place], readings: Sequence[Reading] = ()) -> list[NDArray[np.float64]]:
        """P(outcome | faults, readings) of each sign at its moment."""
        by_moment = {moment: [name for name, at in places if at == moment] for _, moment in places}
        found = {}
        for moment, names in by_moment.items():
            at = Timeline(self.timeline.moments[: moment + 1])
            asked = [(self._sign(name), at) for name in names]
            scene = self.maker.scene(self.timeline, readings, asked, reader=self.reader)
            found |= {(name, moment): chances for name, chances in self._run(scene).items()}
        return [found[place] for place in places]

    def _run(self, scene: Scene) -> dict[str, NDArray[np.float64]]:
        wanted = sorted({item.variable for item in scene.asked.values()} - {CONSTANT})
        run = scene.run(self._told(scene), wanted=wanted)

        def of(item: Asked) -> NDArray[np.float64]:
            states = np.ones(1) if item.variable == CONSTANT else run.marginal(item.variable)[:, 0]
            return np.asarray(states @ item.chances)

        return {name: of(item) for name, item in scene.asked.items()}

    def _told(self, scene: Scene) -> dict[int, NDArray[np.float64]]:
        told = scene.evidence()
        for name, at in scene.faults.items():
            agrees = at.present if name in self.faults else 1 - at.present
            told[at.variable] = told.get(at.variable, 1.0) * agrees
        return told

    def _sign(self, name: str):  # type: ignore[no-untyped-def]
        return self.model.indications.get(name) or self.model.checks[name]

    def _outcomes(self, name: str) -> tuple[str, ...]:
        return self._sign(name).outcomes
