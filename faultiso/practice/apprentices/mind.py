"""What one apprentice makes of what was shown: all of it, less what was misread on the way."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from faultiso.belief.evidence import Reading, nearest_level
from faultiso.belief.observed import sign_of
from faultiso.model.silence import silence
from faultiso.practice.apprentices.apprentice import Apprentice
from faultiso.practice.apprentices.chance import Chance
from faultiso.practice.apprentices.room import Room
from faultiso.session.proving import shows_normal
from faultiso.session.state import State


@dataclass(frozen=True)
class News:
    """One reading as it was understood: whether it is what a good system shows, and whether read at work."""

    sign: str
    normal: bool
    at_work: bool


class Mind:
    """One apprentice at one case. ``taken_for``: place of a reading -> what the apprentice takes it for."""

    def __init__(self, room: Room, apprentice: Apprentice) -> None:
        self.room, self.model, self.apprentice = room, room.model, apprentice
        self.chance = Chance(apprentice.seed, room.case.name)
        self.leaves_open = self.chance.happens("unrestored", apprentice.unrestored)
        self.taken_for: dict[int, Reading] = {}
        self.refused: set[str] = set()

    def hear(self, before: State, after: State) -> None:
        """Take note of what a check or a look has just shown."""
        if not after.deeds or after.deeds[-1].what not in ("check", "look"):
            return
        for place in range(len(before.readings), len(after.readings)):
            reading = after.readings[place]
            if self.chance.happens("slip", self.apprentice.slips):
                self.taken_for[place] = self._other(reading)
            elif self.silent(after, reading) and self.apprentice.misread_indications:
                self.taken_for[place] = replace(reading, moment=0)

    def _other(self, reading: Reading) -> Reading:
        """The reading taken for another outcome."""
        sign = sign_of(self.model, reading.sign)
        shown = reading.outcome if reading.number is None else nearest_level(reading.number, sign)
        others = [outcome for outcome in sign.outcomes if outcome != shown]
        return replace(reading, outcome=self.chance.one_of("taken for", others), number=None)

    def understood(self, state: State) -> State:
        """How things stand, as the apprentice sees them."""
        readings = tuple(self.taken_for.get(place, reading) for place, reading in enumerate(state.readings))
        return replace(state, readings=readings)

    def silent(self, state: State, reading: Reading) -> bool:
        """Whether it is a light that can say nothing in the conditions in which it was read."""
        conditions = state.course.timeline.moments[reading.moment].conditions
        return (
            reading.sign in self.model.indications
            and silence(self.model, reading.sign, conditions) is not None
        )

    def news(self, state: State) -> Iterator[News]:
        """What was read, as it was understood; silent lights left out."""
        seen = self.understood(state)
        for place, reading in enumerate(seen.readings):
            if not self.silent(seen, reading):
                conditions = seen.course.timeline.moments[reading.moment].conditions
                yield News(
                    reading.sign, shows_normal(self.model, reading, conditions), place >= state.reports
                )
