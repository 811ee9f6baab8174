"""What a piece of work takes from where things stand: minutes, people, what must be changed first.

Elapsed minutes and man-minutes are both counted; access once opened and equipment once fetched stay.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from faultiso.model.parts import Change, Match, Work
from faultiso.model.system import Model

ROUNDS = 3  # how often what was moved on the way is brought back
DEEPEST = 4  # how far a change's own needs are followed
ONE_MINUTE = Change(minutes=1.0)


@dataclass(frozen=True)
class Standing:
    """How things stand: condition values, access panels already open, equipment already at hand."""

    conditions: Mapping[str, str]
    opened: frozenset[str] = frozenset()
    fetched: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Step:
    """One condition to be brought to a value."""

    condition: str
    value: str
    change: Change


@dataclass(frozen=True)
class Effort:
    """What the work takes; ``steps`` come first, in order; ``standing``: how things stand during it."""

    minutes: float
    man_minutes: float
    own_minutes: float
    steps: tuple[Step, ...]
    opens: tuple[str, ...]
    fetches: tuple[str, ...]
    hazards: tuple[str, ...]
    people: int
    who: tuple[str, ...]
    standing: Standing = field(repr=False, default=Standing({}))


def effort(model: Model, work: Work, standing: Standing) -> Effort | None:
    """The least elapsed minutes in which the work can be done from here; None if it cannot be done."""
    reached = reach(model, work.needs, standing.conditions) if work.in_store else None
    if reached is None:
        return None
    steps, conditions = reached
    opens = _new((work.access, *(s.change.access for s in steps)), standing.opened)
    fetches = _new((work.equipment, *(s.change.equipment for s in steps)), standing.fetched)
    extra = sum(model.access[a].minutes for a in opens) + sum(model.equipment[e].minutes for e in fetches)
    before = sum(step.change.minutes for step in steps)
    men = sum(step.change.minutes * step.change.people for step in steps)
    return Effort(
        minutes=work.minutes + before + extra,
        man_minutes=work.minutes * work.people + men + extra,
        own_minutes=work.minutes,
        steps=steps,
        opens=opens,
        fetches=fetches,
        hazards=_new((*(s.change.hazards for s in steps), work.hazards), frozenset()),
        people=max([work.people, *(step.change.people for step in steps)]),
        who=tuple(dict.fromkeys(w for w in (work.who, *(s.change.who for s in steps)) if w)),
        standing=Standing(
            {**conditions, **work.sets},
            standing.opened | frozenset(opens),
            standing.fetched | frozenset(fetches),
        ),
    )


def _new(groups: Iterable[tuple[str, ...]], known: frozenset[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for group in groups for name in group if name not in known))


def reach(
    model: Model, needs: tuple[Match, ...], conditions: Mapping[str, str], depth: int = 0
) -> tuple[tuple[Step, ...], dict[str, str]] | None:
    """The cheapest steps to conditions that meet one of the alternatives, and those conditions."""
    if not needs:
        return (), dict(conditions)
    found = [way for match in needs if (way := _way(model, match, conditions, depth)) is not None]
    return min(found, key=lambda way: sum(step.change.minutes for step in way[0]), default=None)


def _way(
    model: Model, match: Match, conditions: Mapping[str, str], depth: int
) -> tuple[tuple[Step, ...], dict[str, str]] | None:
    steps: list[Step] = []
    now = dict(conditions)
    for _ in range(ROUNDS):  # a step's own needs may move what an earlier step has set
        unmet = [name for name, accepted in match.items() if now[name] not in accepted]
        if not unmet:
            return tuple(steps), now
        for name in unmet:
            if now[name] in match[name]:  # a step before has brought it about
                continue
            way = _cheapest_value(model, name, match[name], now, depth)
            if way is None:
                return None
            steps += way[0]
            now = way[1]
    return None


def _cheapest_value(
    model: Model, name: str, accepted: tuple[str, ...], conditions: Mapping[str, str], depth: int
) -> tuple[tuple[Step, ...], dict[str, str]] | None:
    condition = model.conditions[name]
    if not condition.settable or depth >= DEEPEST:
        return None
    found = []
    for value in accepted:
        change = condition.changes.get(value, ONE_MINUTE)
        before = reach(model, change.needs, conditions, depth + 1)
        if before is not None:
            found.append(((*before[0], Step(name, value, change)), {**before[1], name: value}))
    return min(found, key=lambda way: sum(step.change.minutes for step in way[0]), default=None)


def steps_between(
    model: Model, conditions: Mapping[str, str], wanted: Mapping[str, str]
) -> tuple[tuple[Step, ...], dict[str, str]] | None:
    """The steps from one set of conditions to another (a situation); None if some value cannot be set."""
    return reach(model, ({name: (value,) for name, value in wanted.items()},), conditions)
