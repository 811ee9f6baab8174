"""What sessions of a class have in common: units taken for others, wasted checks, precautions, aims."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from faultiso.assessment.classes.people import Person, sessions
from faultiso.assessment.outcome import Finding, Outcome


@dataclass(frozen=True)
class Taken:
    """``count`` sessions in which ``truth`` was wrong and ``named`` was repaired, units by their titles."""

    case: str
    truth: tuple[str, ...]
    named: tuple[str, ...]
    count: int

    @property
    def right(self) -> bool:
        return set(self.truth) == set(self.named)


@dataclass(frozen=True)
class Often:
    """Something that several did: ``times`` in all, by how many ``people``, ``minutes`` in all."""

    title: str
    people: int
    times: int
    minutes: float = 0.0
    critical: bool = False


@dataclass(frozen=True)
class AimFigures:
    """An aim of the cases: ``sessions`` of such cases, how many ended ``well`` (right, no unit off for
    nothing, no critical precaution left out, no other gate), and the mean mark."""

    name: str
    sessions: int
    well: int
    mean: float

    @property
    def mastery(self) -> float:
        return self.well / self.sessions


def taken_for(people: Sequence[Person]) -> tuple[Taken, ...]:
    """True against named units, those that differ first, the most frequent first."""
    counts = Counter((o.grade.case, o.truth, o.named) for o in sessions(people))
    found = [Taken(*key, count) for key, count in counts.items()]
    return tuple(sorted(found, key=lambda t: (t.right, -t.count, t.case, t.truth, t.named)))


def wasted_checks(people: Sequence[Person]) -> tuple[Often, ...]:
    """Steps that could not tell anything, those that took most minutes first."""
    return _often(people, lambda outcome: outcome.wasted)


def silent_looks(people: Sequence[Person]) -> tuple[Often, ...]:
    """Signs that were looked at where they could show nothing else, the most frequent first."""
    found = _often(people, lambda outcome: outcome.silent)
    return tuple(sorted(found, key=lambda o: (-o.people, -o.times, o.title)))


def _often(people: Sequence[Person], of: Callable[[Outcome], Iterable[Finding]]) -> tuple[Often, ...]:
    who: dict[str, set[int]] = defaultdict(set)
    minutes: dict[str, list[float]] = defaultdict(list)
    for place, person in enumerate(people):
        for finding in (each for outcome in person.outcomes for each in of(outcome)):
            who[finding.title].add(place)
            minutes[finding.title].append(finding.minutes)
    found = [Often(title, len(who[title]), len(each), sum(each)) for title, each in minutes.items()]
    return tuple(sorted(found, key=lambda o: (-o.minutes, -o.times, o.title)))


def missed_precautions(people: Sequence[Person]) -> tuple[Often, ...]:
    """Precautions that were not named, critical ones first."""
    who: dict[tuple[str, bool], set[int]] = defaultdict(set)
    times: Counter[tuple[str, bool]] = Counter()
    for place, person in enumerate(people):
        for missed in (each for outcome in person.outcomes for each in outcome.missed):
            who[missed].add(place)
            times[missed] += 1
    found = [Often(key[0], len(who[key]), count, critical=key[1]) for key, count in times.items()]
    return tuple(sorted(found, key=lambda o: (not o.critical, -o.people, -o.times, o.title)))


def aims(people: Sequence[Person]) -> tuple[AimFigures, ...]:
    """The aims of the cases, the weakest first."""
    worked: dict[str, list[Outcome]] = defaultdict(list)
    for outcome in sessions(people):
        for aim in dict.fromkeys(outcome.aims):
            worked[aim].append(outcome)
    found = [
        AimFigures(aim, len(each), sum(map(well, each)), sum(o.grade.total for o in each) / len(each))
        for aim, each in worked.items()
    ]
    return tuple(sorted(found, key=lambda a: (a.mastery, a.mean, a.name)))


def well(outcome: Outcome) -> bool:
    verdict = outcome.grade.verdict
    critical = any(is_critical for _, is_critical in outcome.missed)
    return verdict.right and not verdict.good_units and not critical and not outcome.grade.gates
