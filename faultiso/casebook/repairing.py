"""What of the model gets rid of a truth, or lets it wait."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from faultiso.model.effort import Effort, Standing, effort, reach
from faultiso.model.parts import Deferral, Repair
from faultiso.model.system import Model


def repairs_for(model: Model, fault: str) -> list[Repair]:
    """The repairs that clear a fault, for which there is a part, and that do not always fail."""
    return [
        repair
        for repair in model.repairs.values()
        if fault in repair.clears and repair.fails < 1.0 and repair.work.in_store
    ]


def unrepairable(model: Model, truth: Iterable[str]) -> list[str]:
    """Those of the faults that no repair clears."""
    return [fault for fault in truth if not repairs_for(model, fault)]


def sheet_for(model: Model, truth: Iterable[str]) -> Deferral | None:
    """The line of the deferral sheet under which all the faults may wait together."""
    faults = set(truth)
    lines = (line for line in model.deferrals.values() if line.allowed and faults <= set(line.covers))
    return next(lines, None)


@dataclass(frozen=True)
class Way:
    """Repairs, each proved, that clear a truth: their names, and the minutes with access and verification."""

    repairs: tuple[str, ...]
    minutes: float


@dataclass(frozen=True)
class Stuck:
    """Why there is no way: the last thing that stood against it."""

    reason: str


def way_out(model: Model, truth: Iterable[str], now: Standing) -> Way | Stuck:
    """The quickest repair for each fault in turn, proved, everything restored at the end."""
    left, standing, done, minutes = list(truth), now, [], 0.0
    while left:
        found = [_proved(model, repair, standing) for repair in repairs_for(model, left[0])]
        ways = [way for way in found if not isinstance(way, Stuck)]
        if not ways:
            return next(
                (way for way in found if isinstance(way, Stuck)), Stuck(f"no repair clears {left[0]}")
            )
        repair, took, standing = min(ways, key=lambda way: way[1])
        done.append(repair.name)
        minutes += took
        left = [fault for fault in left if fault not in repair.clears]
    unrestored = _unrestorable(model, standing)
    return (
        Stuck(f"{unrestored} could not be restored at the end") if unrestored else Way(tuple(done), minutes)
    )


def _proved(model: Model, repair: Repair, standing: Standing) -> tuple[Repair, float, Standing] | Stuck:
    """The repair with its verification: minutes, and how things stand afterwards."""
    work = effort(model, repair.work, standing)
    if work is None:
        return Stuck(f"what {repair.name} needs cannot be brought about from where things stand")
    after = reach(model, repair.verification.needs, work.standing.conditions)
    if after is None:
        return Stuck(f"what the proof of {repair.name} needs cannot be brought about")
    minutes = work.minutes + repair.verification.minutes + sum(step.change.minutes for step in after[0])
    proving = Standing(after[1], work.standing.opened, work.standing.fetched)
    for name in repair.verification.checks:
        look: Effort | None = effort(model, model.checks[name].work, proving)
        if look is None:
            return Stuck(f"{name}, which proves {repair.name}, cannot be made")
    return repair, minutes, proving


def _unrestorable(model: Model, standing: Standing) -> str:
    """A condition that must be restored and cannot be; empty if there is none."""
    for condition in model.conditions.values():
        if not condition.must_restore or standing.conditions[condition.name] == condition.start:
            continue
        if reach(model, ({condition.name: (condition.start,)},), standing.conditions) is None:
            return condition.name
    return ""
