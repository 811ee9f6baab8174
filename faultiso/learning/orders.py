"""A closed work order in the words of its columns, and the row of readings at moments that it stands for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from faultiso.base.problems import UsageError
from faultiso.belief.evidence import Reading, weights
from faultiso.belief.observed import conditions_of, reading_of, sign_of
from faultiso.learning.rows import NOT_SAID, Finding, Row
from faultiso.model.effort import reach
from faultiso.model.expected import expected
from faultiso.model.parts import Check, Indication
from faultiso.model.system import Model
from faultiso.network.timeline import Intervention, Moment, Timeline, handling, moment

CREW, SHOP = 0, 1  # whose draw of reading errors it is: who complained, who checked


@dataclass(frozen=True)
class Said:
    """One reading as written: ``name=outcome@situation``; ``situation`` may be empty."""

    sign: str
    outcome: str
    situation: str = ""


@dataclass(frozen=True)
class Order:
    """``situation`` and ``conditions``: how things stood in the complaint; ``normal``: every indication that
    is not named in it was looked at and showed nothing."""

    situation: str = ""
    conditions: tuple[tuple[str, str], ...] = ()
    complaint: tuple[Said, ...] = ()
    normal: bool = False
    checks: tuple[Said, ...] = ()
    finding: Finding = NOT_SAID


class Rows:
    """Makes rows of orders about one model. What is wrong with an order raises UsageError."""

    def __init__(self, model: Model) -> None:
        self.model = model
        self._remembers = any(q.remember for q in model.quantities.values()) or any(
            i.memory for i in model.indications.values()
        )
        self._expected = cache(lambda at: expected(model, at.conditions))

    def row(self, order: Order) -> Row:
        """The readings of an order at the moments in which they were made."""
        here = moment(conditions_of(self.model, dict(order.conditions), order.situation))
        told = [*self._complaint(order, here), *self._checks(order, here)]
        timeline = self.timeline([here, *(when for when, _, _ in told)])
        readings = []
        for when, said, draw in told:
            reading = reading_of(sign_of(self.model, said.sign), said.outcome, timeline.moments.index(when))
            if reading is not None:
                weights(reading, sign_of(self.model, said.sign))  # UsageError if its number fits no level
                readings.append(_drawn(reading, draw))
        return Row(timeline, tuple(dict.fromkeys(readings)), order.finding, bool(order.complaint))

    def _complaint(self, order: Order, here: Moment) -> Iterator[tuple[Moment, Said, int]]:
        for said in order.complaint:
            yield (self._in_situation(said) if said.situation else here), said, CREW
        if order.normal:
            named = {said.sign for said in order.complaint if not said.situation}
            quiet = self._expected(here)
            for name in self.model.indications:
                if name not in named:
                    yield here, Said(name, quiet[name]), CREW

    def _checks(self, order: Order, here: Moment) -> Iterator[tuple[Moment, Said, int]]:
        for number, said in enumerate(order.checks):
            sign = sign_of(self.model, said.sign)
            start = self._in_situation(said) if said.situation else here
            yield self.made_at(sign, start, number), said, SHOP

    def can_be_made(self, check: Check, start: Moment) -> bool:
        """Whether what a check needs can be brought about from there."""
        return reach(self.model, check.work.needs, start.conditions) is not None

    def made_at(self, sign: Indication | Check, start: Moment, number: int = 0) -> Moment:
        """The moment of a check made from there: what it needs is brought about, what it swaps is done."""
        if isinstance(sign, Indication):
            return start
        reached = reach(self.model, sign.work.needs, start.conditions)
        if reached is None:
            raise UsageError(
                f"{sign.name} cannot be made from there; name the situation in which it was made"
            )
        before = handling(f"{sign.name}, number {number + 1}", sign.work)
        done: tuple[Intervention, ...] = () if before.changes_nothing else (before,)
        return moment({**reached[1], **sign.work.sets}, done)

    def _in_situation(self, said: Said) -> Moment:
        return moment(conditions_of(self.model, {}, said.situation))

    def timeline(self, moments: list[Moment]) -> Timeline:
        """Each moment once; where nothing remembers, in an order that hangs on the moments alone."""
        found = list(dict.fromkeys(moments))
        if not self._remembers:
            found.sort(key=lambda each: each.settings)
        return Timeline(tuple(sorted(found, key=lambda each: bool(each.before))))


def _drawn(reading: Reading, draw: int) -> Reading:
    return Reading(reading.sign, reading.outcome, reading.number, reading.doubtful, reading.moment, draw)


def settings(values: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    """Condition values in one order."""
    return tuple(sorted(values.items()))
