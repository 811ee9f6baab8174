"""The figures of a model that history can correct: which there are, where they stand, and with other values.

A figure is a fault's rate, the chance that a cause gives a level, the chance that a fault brings another one
about, or the chance that a check misses or gives a false alarm. No figure to learn is what is stated as never
or always (0 or 1), a chance that differs from one set of conditions to another, and what nothing modelled
does (leaks, misreadings): work orders are written when something seems amiss, so how often it seems so with
nothing wrong is in the hours of which nobody wrote.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from faultiso.model.parts import Cause, Chances, Check, Component, Quantity
from faultiso.model.system import Model

Kind = Literal["rate", "strength", "brings", "miss", "false_alarm"]
Path = tuple[str | int, ...]

KINDS: tuple[Kind, ...] = ("rate", "strength", "brings", "miss", "false_alarm")
ERRORS: tuple[Kind, ...] = ("miss", "false_alarm")


@dataclass(frozen=True)
class Figure:
    """``of``: the fault, quantity or check; ``source``: what acts on it; ``level``: what it then gives.

    ``number``: place among the causes of the quantity. ``paths``: where the figure stands in the file.
    """

    kind: Kind
    of: str
    value: float
    paths: tuple[Path, ...]
    source: str = ""
    level: str = ""
    number: int = -1

    @property
    def name(self) -> str:
        """How the figure is called, the same in every output."""
        match self.kind:
            case "strength":
                return f"{self.source} gives {self.of} {self.level}"
            case "brings":
                return f"{self.source} brings {self.of}"
            case "miss" | "false_alarm":
                return f"{self.of} {self.kind.replace('_', ' ')}"
        return f"{self.of} rate"


@dataclass(frozen=True)
class NotLearnt:
    """A figure that is left as it is, and why."""

    name: str
    reason: str


def figures(model: Model) -> tuple[tuple[Figure, ...], tuple[NotLearnt, ...]]:
    """Every figure that can be learnt, in the order of the file by kind, and those that cannot."""
    found = [*_rates(model), *_strengths(model), *_brought(model), *_errors(model)]
    learnt = tuple(figure for figure in found if isinstance(figure, Figure))
    return learnt, tuple(left for left in found if isinstance(left, NotLearnt))


_QUIET = "the chance of the quiet level is stated beside it; leave that out, it is what the others leave"
_NEVER = "stated as never or always; no history moves it"


def _judged(figure: Figure) -> Figure | NotLearnt:
    return figure if 0.0 < figure.value < 1.0 else NotLearnt(figure.name, _NEVER)


def _rates(model: Model) -> Iterator[Figure | NotLearnt]:
    for fault in model.faults.values():
        path = ("components", fault.component, "faults", fault.name.partition(".")[2], "rate")
        yield _judged(Figure("rate", fault.name, fault.rate, (path,)))


def _strengths(model: Model) -> Iterator[Figure | NotLearnt]:
    for quantity in model.quantities.values():
        for number, cause in enumerate(quantity.causes):
            places = list(_places(quantity, number, cause, cause.source in model.faults))
            spreads = [spread for _, spread in places]
            if any(spread != spreads[0] for spread in spreads):
                reason = "what it gives differs from one condition or level to another"
                yield NotLearnt(f"{cause.source} gives {quantity.name}", reason)
                continue
            if quantity.levels[0] in spreads[0]:
                yield NotLearnt(f"{cause.source} gives {quantity.name}", _QUIET)
                continue
            for level, value in spreads[0].items():
                paths = tuple((*path, level) for path, _ in places)
                yield _judged(Figure("strength", quantity.name, value, paths, cause.source, level, number))


def _places(quantity: Quantity, number: int, cause: Cause, by_fault: bool) -> Iterator[tuple[Path, Chances]]:
    """Every distribution of a cause and where it stands; a file may state the only case without ``cases``."""
    start: Path = ("quantities", quantity.name, "causes", number)
    for case, response in enumerate(cause.responses):
        for value, spread in response.gives.items():
            more: Path = () if by_fault else (value,)
            yield (*start, "cases", case, "gives", *more), spread


def _brought(model: Model) -> Iterator[Figure | NotLearnt]:
    for fault in model.faults.values():
        for source, chance in fault.caused_by.items():
            head = ("components", fault.component, "faults", fault.name.partition(".")[2])
            yield _judged(Figure("brings", fault.name, chance, ((*head, "caused_by", source),), source))


def _errors(model: Model) -> Iterator[Figure | NotLearnt]:
    for check in model.checks.values():
        for kind in ERRORS:
            value = check.miss if kind == "miss" else check.false_alarm
            if value:
                yield _judged(Figure(kind, check.name, value, (("checks", check.name, kind),)))


def with_values(model: Model, values: Mapping[Figure, float]) -> Model:
    """The model with other values of some figures. Chances that together pass 1 are scaled down to it."""
    by_part: dict[str, dict[Figure, float]] = {}
    for figure, value in values.items():
        by_part.setdefault(figure.of, {})[figure] = value
    return replace(
        model,
        components={name: _component(part, by_part) for name, part in model.components.items()},
        quantities={n: _quantity(part, by_part.get(n, {})) for n, part in model.quantities.items()},
        checks={n: _check(part, by_part.get(n, {})) for n, part in model.checks.items()},
    )


def _component(component: Component, by_part: Mapping[str, Mapping[Figure, float]]) -> Component:
    faults = []
    for fault in component.faults:
        new = by_part.get(fault.name, {})
        rate = next((value for figure, value in new.items() if figure.kind == "rate"), fault.rate)
        brought = {figure.source: value for figure, value in new.items() if figure.kind == "brings"}
        faults.append(replace(fault, rate=rate, caused_by={**fault.caused_by, **brought}))
    return replace(component, faults=tuple(faults))


def _quantity(quantity: Quantity, new: Mapping[Figure, float]) -> Quantity:
    causes = []
    for number, cause in enumerate(quantity.causes):
        mine = {f.level: value for f, value in new.items() if f.kind == "strength" and f.number == number}
        responses = tuple(
            replace(r, gives={source: _spread(spread, mine) for source, spread in r.gives.items()})
            for r in cause.responses
        )
        causes.append(replace(cause, responses=responses))
    return replace(quantity, causes=tuple(causes))


def _spread(spread: Chances, new: Mapping[str, float]) -> Chances:
    """The new chances beside those that stay, scaled down where they would pass 1 together."""
    room = 1.0 - sum(chance for level, chance in spread.items() if level not in new)
    scale = min(1.0, room / total) if (total := sum(new.values())) else 1.0
    return {**spread, **{level: chance * scale for level, chance in new.items()}}


def _check(check: Check, new: Mapping[Figure, float]) -> Check:
    found = {figure.kind: value for figure, value in new.items()}
    return replace(
        check, miss=found.get("miss", check.miss), false_alarm=found.get("false_alarm", check.false_alarm)
    )


def levels_together(listed: Sequence[Figure]) -> list[list[Figure]]:
    """The strengths of each cause that may give several levels: they share in one draw."""
    found: dict[tuple[str, int], list[Figure]] = {}
    for figure in listed:
        if figure.kind == "strength":
            found.setdefault((figure.of, figure.number), []).append(figure)
    return [together for together in found.values() if len(together) > 1]
