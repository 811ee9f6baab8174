"""The way in for callers: a model that can be asked what it believes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Literal

from faultiso.belief.belief import Belief, Makers
from faultiso.belief.evidence import Reading
from faultiso.belief.observed import Observations, conditions_of, normal_readings, observed
from faultiso.engine.plan import DEFAULT_LIMIT
from faultiso.model.effort import Standing
from faultiso.model.system import Model
from faultiso.network.timeline import Timeline

Others = Literal["unknown", "normal"]


class Reasoner:
    """A model with its compiled networks; keep one for a whole session, so that they are compiled once."""

    def __init__(self, model: Model, memory: int = DEFAULT_LIMIT) -> None:
        """``memory``: bytes that one computation may take; what would need more is cut or refused."""
        self.model = model
        self._makers = Makers(model, memory)

    def believe(
        self,
        observations: Observations = (),
        conditions: Mapping[str, str] | None = None,
        situation: str = "",
        others: Others = "unknown",
    ) -> Belief:
        """The belief after the observations, in the present conditions (a situation, and what differs).

        ``others="normal"``: every indication not named was looked at, at each moment, and showed what it
        shows there when nothing is wrong. Unknown names and outcomes raise UsageError.
        """
        now = conditions_of(self.model, conditions or {}, situation)
        timeline, readings = observed(self.model, observations, now)
        if others == "normal":
            readings = (*readings, *self.normal_others(timeline, readings))
        return self.belief(timeline, readings)

    def belief(
        self,
        timeline: Timeline,
        readings: Sequence[Reading],
        standing: Standing | None = None,
        reader: int = 0,
        hold: Sequence[frozenset[str]] = (),
    ) -> Belief:
        """The belief after readings at the moments of a timeline.

        ``reader`` is the draw in which the next sign would be read: another person than the one who
        reported (say the technician after the crew) draws reading errors anew. ``hold``: sets of faults
        that are planned with however unlikely they are.
        """
        return Belief(self._makers, timeline, readings, standing, reader, hold)

    def normal_others(self, timeline: Timeline, readings: Sequence[Reading]) -> list[Reading]:
        """The unreported indications of the moments that have reports, each as when all is well."""
        reported = {(reading.sign, reading.moment) for reading in readings}
        moments = sorted({moment for _, moment in reported}) or [timeline.now]
        found: list[Reading] = []
        for at in moments:
            here = {name for name, moment in reported if moment == at}
            found += normal_readings(self.model, timeline, at, here)
        return found


def load_model(path: str | Path) -> Reasoner:
    """A model file, or a shipped model by its name, ready to be asked: ``load_model(p).believe({...})``.

    Raises InvalidModel with everything that is wrong with the file, UsageError if there is none.
    """
    from faultiso.language.load import read_model
    from faultiso.language.shipped import find_model

    return Reasoner(read_model(find_model(path)))
