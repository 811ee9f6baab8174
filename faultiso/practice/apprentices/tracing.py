"""Half-splitting: the part of the flow in which the trouble must be, and the check that halves it.

The oldest rule of troubleshooting: what every wrong sign hangs on is open, what a good sign hangs on is not;
read next what parts the open units most evenly.
"""

from __future__ import annotations

from collections.abc import Iterable

from faultiso.model.system import Model
from faultiso.practice.apprentices.mind import Mind
from faultiso.session.state import State


def along_the_flow(model: Model) -> tuple[str, ...]:
    """Components in the order in which the flow names them, then the others; those that can fail."""
    flow = [name for link in model.flow for name in (link.source, link.target)]
    order = dict.fromkeys([*flow, *model.components])
    return tuple(name for name in order if name in model.components and model.components[name].faults)


def open_part(mind: Mind, state: State) -> tuple[str, ...]:
    """The units that all wrong signs hang on, without those that a good reading has cleared.

    A reading that would leave nothing open is passed over, as is what was changed already.
    """
    feels = mind.room.feels
    left = along_the_flow(mind.model)
    news = list(mind.news(state))
    for item in sorted(news, key=lambda item: item.normal):
        if item.normal and not item.at_work:
            continue  # that nobody complained of it clears nothing
        kept = tuple(unit for unit in left if (unit in feels[item.sign]) != item.normal)
        left = kept or left
    changed = {unit for repair in state.repairs for unit in _mended(mind, repair.name)}
    return tuple(unit for unit in left if unit not in changed) or left


def _mended(mind: Mind, repair: str) -> set[str]:
    return {mind.model.faults[fault].component for fault in mind.model.repairs[repair].clears}


def halving(mind: Mind, left: Iterable[str], signs: Iterable[str]) -> str:
    """The sign that parts the open units most evenly, the quickest of equals; "" if none parts them."""
    units = set(left)

    def uneven(sign: str) -> tuple[int, float]:
        check = mind.model.checks.get(sign)
        return abs(2 * len(units & mind.room.feels[sign]) - len(units)), check.work.minutes if check else 0.0

    parting = [sign for sign in signs if 0 < len(units & mind.room.feels[sign]) < len(units)]
    return min(parting, key=uneven, default="")
