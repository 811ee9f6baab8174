"""What could be done to learn something, best first: every check, and looking round in other situations."""

from __future__ import annotations

from dataclasses import dataclass

from faultiso.session.asking import findable
from faultiso.session.desk import LOOKS, Desk
from faultiso.session.prompt import MOST_SHOWN
from faultiso.session.replies import Grid, Reply, Said
from faultiso.session.search import Findable
from faultiso.session.views import LEAST_BITS


@dataclass(frozen=True)
class _Line:
    thing: Findable
    minutes: float
    saves: float
    bits: str


def ranking(desk: Desk) -> tuple[Reply, ...]:
    """By minutes saved on average against going straight to the repairs; a number picks one."""
    lines = sorted(_lines(desk), key=lambda line: (-round(line.saves), line.minutes, line.thing.name))
    lines = lines[:MOST_SHOWN]
    if not lines:
        return (Said("Nothing that is left to check can change what is believed."),)
    desk.choices = tuple(line.thing for line in lines)
    rows = tuple(
        (str(place), line.thing.title, f"{line.minutes:.0f}", f"{line.saves:.0f}", line.bits)
        for place, line in enumerate(lines, 1)
    )
    kinds = ("number", "text", "number", "number", "number")
    return (
        Grid("By minutes saved on average", ("", "check", "min", "saves", "bits"), kinds, rows),
        Said("A number picks one. Below 0 it costs more than it saves. Figures hold if the rates are right."),
    )


def _lines(desk: Desk) -> list[_Line]:
    from faultiso.planning.advice import Advisor

    advice = Advisor(desk.belief).advise(with_looks=LOOKS)
    bits = {check.name: check.gain_bits[1] for check in desk.belief.rank_checks()}
    found = []
    for action in advice.actions:
        saves = advice.straight_to_repair - action.expected_minutes
        if action.kind == "check" and bits.get(action.name, 0.0) > LEAST_BITS:
            thing = findable(desk.model.checks[action.name])
            found.append(_Line(thing, action.minutes, saves, f"{bits[action.name]:.2f}"))
        elif action.kind == "change of conditions":
            thing = Findable(f"={action.name}", action.title)
            found.append(_Line(thing, action.minutes, saves, ""))
    return found
