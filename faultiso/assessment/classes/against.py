"""How far the proposed marks agree with those that an instructor gave without seeing them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from faultiso.assessment.classes.people import Person
from faultiso.assessment.roster import candidate_key
from faultiso.assessment.statistics.agreement import kappa
from faultiso.assessment.statistics.figure import Figure

FAR = 10.0  # points from which two marks of the same work are listed

#: (key of a candidate, case) -> mark in per cent; the case is "" where one mark stands for all of a person
Blind = Mapping[tuple[str, str], float]


@dataclass(frozen=True)
class Pair:
    """The same work marked twice, in per cent."""

    who: str
    case: str
    proposed: float
    instructor: float

    @property
    def difference(self) -> float:
        return self.proposed - self.instructor


@dataclass(frozen=True)
class Agreement:
    """``kappa``: quadratically weighted, over ``bands``; ``difference``: proposed less instructor's mark, on
    average; ``missing``: marks of the instructor that belong to no graded work."""

    pairs: tuple[Pair, ...]
    bands: tuple[str, ...]
    kappa: Figure
    missing: tuple[tuple[str, str], ...]

    @property
    def difference(self) -> float | None:
        return sum(pair.difference for pair in self.pairs) / len(self.pairs) if self.pairs else None

    @property
    def far(self) -> tuple[Pair, ...]:
        """Pairs that lie far apart, the farthest first."""
        far = [pair for pair in self.pairs if abs(pair.difference) >= FAR]
        return tuple(sorted(far, key=lambda pair: (-abs(pair.difference), pair.who, pair.case)))


def agreement(people: Sequence[Person], blind: Blind, pass_mark: float) -> Agreement:
    """Pairs of marks of the same work; one of the instructor's without a case goes with the person's mean."""
    pairs, found = [], set()
    for person in people:
        for case, mark in {**person.by_case, "": person.mark}.items():
            key = (candidate_key(person.id), case)
            if person.id and key in blind:
                found.add(key)
                pairs.append(Pair(person.called, case, mark, blind[key]))
    edges = _edges(pass_mark)
    bands = tuple(f"{low:g} to {high:g}" for low, high in zip(edges, (*edges[1:], 100.0), strict=True))
    places = range(len(bands))
    first = [_band(pair.proposed, edges) for pair in pairs]
    second = [_band(pair.instructor, edges) for pair in pairs]
    found_kappa = kappa(first, second, list(places), "quadratic")
    return Agreement(tuple(pairs), bands, found_kappa, tuple(sorted(set(blind) - found)))


def _edges(pass_mark: float) -> tuple[float, ...]:
    """Lower ends of four bands: two below the pass mark, two from it on."""
    edges = (0.0, pass_mark * 2 / 3, pass_mark, (pass_mark + 100.0) / 2)
    return tuple(sorted(set(edges)))


def _band(mark: float, edges: Sequence[float]) -> int:
    return max(place for place, edge in enumerate(edges) if mark >= edge or place == 0)
