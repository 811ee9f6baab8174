"""The whole judgement of what a model's indications and checks can tell."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

from faultiso.appraisal.added import is_reading, telling_conditions, with_readings
from faultiso.appraisal.again import Again, Reports, again, reports
from faultiso.appraisal.clock import Limit
from faultiso.appraisal.groups import Faint, Group, faint, groups_of, idle_signs, redundant, unmade_checks
from faultiso.appraisal.isolation import ANY, Isolation, isolation
from faultiso.appraisal.signatures import Sign, Signatures, signatures
from faultiso.appraisal.ways import Worked, worked
from faultiso.appraisal.worth import (
    CheckWorth,
    Misled,
    ReadingWorth,
    check_worths,
    mean_minutes,
    misled_by,
    reading_worths,
)
from faultiso.appraisal.writeups import WriteUp, write_ups
from faultiso.belief.reasoner import Reasoner
from faultiso.model.system import Model

LEAST = 0.5  # difference that tells two truths apart: one reading then names the right one 3 times in 4
SECONDS = 120.0

Tell = Callable[[str, int, int], None]


@dataclass(frozen=True, eq=False)
class Told:
    """What some signs tell: ``by_one`` sign with the limit, ``at_all``: any difference, however small."""

    by_one: Isolation
    at_all: Isolation
    groups: tuple[Group, ...]
    never: tuple[Group, ...]
    faint: tuple[Faint, ...]


@dataclass(frozen=True, eq=False)
class Judgement:
    """``crew``: by indications alone; ``everything``: with checks. ``left``: write-ups for which the time was
    too short; ``silent``: faults that are in no write-up, since no indication shows them."""

    signatures: Signatures
    least: float
    crew: Told
    everything: Told
    again: tuple[Again, ...]
    worked: tuple[Worked, ...]
    left: tuple[WriteUp, ...]

    @property
    def model(self) -> Model:
        return self.signatures.model

    @cached_property
    def reports(self) -> Reports:
        return reports(self.again)

    @cached_property
    def silent(self) -> tuple[str, ...]:
        judged = [*(item.write_up for item in self.worked), *self.left]
        shown = {fault for item in judged for fault in item.faults}
        return tuple(name for name in self.signatures.faults if name not in shown)

    @cached_property
    def judged_share(self) -> float:
        """The share of the rate of all write-ups that was judged."""
        done = sum(item.write_up.rate for item in self.worked)
        total = done + sum(item.rate for item in self.left)
        return done / total if total > 0 else 1.0

    @cached_property
    def idle(self) -> tuple[str, ...]:
        """Signs that no fault alone moves."""
        return idle_signs(self.signatures, ANY)

    @cached_property
    def unmade(self) -> tuple[str, ...]:
        return unmade_checks(self.signatures)

    @cached_property
    def checks(self) -> tuple[CheckWorth, ...]:
        return check_worths(self.signatures, self.worked, self.silent, self.least)

    @cached_property
    def redundant(self) -> tuple[str, ...]:
        """Indications without which, one at a time, the others tell as much."""
        return redundant(self.signatures, self.least)

    @cached_property
    def readings(self) -> tuple[ReadingWorth, ...]:
        return reading_worths(self.worked)

    @cached_property
    def misled(self) -> tuple[Misled, ...]:
        return misled_by(self.model, self.worked)

    @cached_property
    def minutes(self) -> float | None:
        return mean_minutes(self.model, self.worked)


def judgement(
    model: Model,
    least: float = LEAST,
    seconds: float = SECONDS,
    tell: Tell = lambda what, done, of: None,
    limit: Limit | None = None,
) -> Judgement:
    """Judge a model. The plans of write-ups, the likeliest first, are worked out until the time is up."""
    limit = limit or Limit(seconds)
    reasoner = Reasoner(model)
    every = signatures(Reasoner(with_readings(model)), lambda done, of: tell("situations", done, of))
    own = _own(every, model)
    again_rows = again(reasoner, own)
    done, left = _plans(reasoner, every, write_ups(own, least), limit, tell)
    return Judgement(
        signatures=own,
        least=least,
        crew=_told(own, least, own.indications, own.checks_from_start),
        everything=_told(own, least, own.signs, [sign for sign in every.signs if is_reading(sign)]),
        again=again_rows,
        worked=done,
        left=left,
    )


def _own(every: Signatures, model: Model) -> Signatures:
    """Without the readings that were added."""
    signs = tuple(sign for sign in every.signs if not is_reading(sign))
    return Signatures(model, every.faults, every.never_alone, signs)


def _told(found: Signatures, least: float, signs: Sequence[Sign], further: Sequence[Sign]) -> Told:
    """What signs tell, and which of further signs would tell more."""
    apart = found.apart(signs)
    by_one = isolation(apart, found.rates, found.units, least)
    at_all = isolation(apart, found.rates, found.units, ANY)
    groups, never = groups_of(found, by_one, further), groups_of(found, at_all, further)
    return Told(by_one, at_all, groups, never, faint(found, by_one))


def _plans(
    reasoner: Reasoner, every: Signatures, found: tuple[WriteUp, ...], limit: Limit, tell: Tell
) -> tuple[tuple[Worked, ...], tuple[WriteUp, ...]]:
    """The write-ups that were judged, and those that were left."""
    with_more = Reasoner(with_readings(reasoner.model, telling_conditions(every)))
    done: list[Worked] = []
    for number, write_up in enumerate(found):
        if limit.up:
            return tuple(done), found[number:]
        done.append(worked(write_up, reasoner, with_more))
        tell("write-ups", number + 1, len(found))
    return tuple(done), ()
