"""What happened to the system, in order: the sets of conditions it was seen in, and the work between them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from faultiso.model.parts import Match, Repair, Work


@dataclass(frozen=True)
class Intervention:
    """What one piece of work did to the system: a repair, a check that touched something, a service.

    ``key`` names this piece of work uniquely in its timeline. ``cleared`` faults are gone (with
    probability ``fails`` all of them stay); the rest as in ``Work``.
    """

    key: str
    cleared: tuple[str, ...] = ()
    fails: float = 0.0
    disturbs: tuple[tuple[str, float], ...] = ()
    swaps: tuple[tuple[str, str], ...] = ()
    may_leave: tuple[tuple[str, float], ...] = ()
    resets: tuple[str, ...] = ()

    @property
    def changes_nothing(self) -> bool:
        return not (self.cleared or self.disturbs or self.swaps or self.may_leave or self.resets)


def done(key: str, work: Work, repair: Repair | None = None) -> Intervention:
    """The intervention that a check's or a repair's work amounts to."""
    return Intervention(
        key=key,
        cleared=repair.clears if repair else (),
        fails=repair.fails if repair else 0.0,
        disturbs=tuple(work.disturbs.items()),
        swaps=work.swaps,
        may_leave=tuple((left.fault, left.chance) for left in work.may_leave),
        resets=work.resets,
    )


def handling(key: str, work: Work) -> Intervention:
    """What a check does before it is read: units change places, which disturbs what they hang on.

    A check that swaps nothing is read first; what it disturbs, it disturbs afterwards.
    """
    return Intervention(key, swaps=work.swaps, disturbs=tuple(work.disturbs.items()) if work.swaps else ())


def after_handling(whole: Intervention) -> Intervention:
    """What is left to happen after the reading of a check, of all that its work does."""
    return replace(whole, swaps=(), disturbs=()) if whole.swaps else whole


@dataclass(frozen=True)
class Moment:
    """One visit: a complete set of condition values, after the work ``before`` it.

    Everything seen in one moment shares one draw of each intermittent fault.
    """

    settings: tuple[tuple[str, str], ...]
    before: tuple[Intervention, ...] = ()

    @cached_property
    def conditions(self) -> Mapping[str, str]:
        return dict(self.settings)

    @cached_property
    def _hash(self) -> int:
        return hash((self.settings, self.before))

    def __hash__(self) -> int:
        """Worked out once: moments are looked up by the thousand."""
        return self._hash


@dataclass(frozen=True)
class Timeline:
    """The moments in the order in which they were; the last one is now."""

    moments: tuple[Moment, ...]

    @property
    def now(self) -> int:
        return len(self.moments) - 1

    def then(self, conditions: Mapping[str, str], before: tuple[Intervention, ...] = ()) -> Timeline:
        """The same with one more moment."""
        return Timeline((*self.moments, moment(conditions, before)))

    def after_work(self, work: Intervention) -> Timeline:
        """The same conditions, after work: a new moment unless the work changed nothing."""
        if work.changes_nothing:
            return self
        return self.then(self.moments[-1].conditions, (work,))

    def without_last(self) -> Timeline:
        return replace(self, moments=self.moments[:-1])


def moment(conditions: Mapping[str, str], before: tuple[Intervention, ...] = ()) -> Moment:
    """A moment in a complete set of condition values, in whatever order they are given."""
    return Moment(tuple(sorted(conditions.items())), before)


def start(conditions: Mapping[str, str]) -> Timeline:
    """A timeline of one moment."""
    return Timeline((moment(conditions),))


def matches(match: Match, conditions: Mapping[str, str]) -> bool:
    """Whether every named condition has one of the accepted values."""
    return all(conditions.get(name) in accepted for name, accepted in match.items())
