"""What ``undo`` withdraws: the log keeps the line, the replay passes it over."""

from __future__ import annotations

from collections.abc import Iterable

from faultiso.session import events as kinds
from faultiso.session.events import Event


def standing_events(entries: Iterable[tuple[int, Event]]) -> list[tuple[int, Event]]:
    """The events without those that were withdrawn, and without what led to them."""
    kept: list[tuple[int, Event]] = []
    for number, event in entries:
        if event.kind in (kinds.UNDONE, kinds.STEPPED_BACK):
            line = event.data["line"]
            kept = [item for item in kept if item[0] < line or item[1].kind in _STAYS]
        else:
            kept.append((number, event))
    return kept


#: What undo leaves: what was written down or shown stays written and shown.
_STAYS = frozenset({kinds.BEGAN, kinds.NOTED, kinds.REFERENCED, kinds.LEFT, kinds.RESUMED, kinds.VOTED})


def to_withdraw(entries: Iterable[tuple[int, Event]]) -> tuple[int, Event] | None:
    """What ``undo`` withdraws now: the line from which on, and the answer that goes; None if none can."""
    standing = standing_events(entries)
    place = next((i for i in reversed(range(len(standing))) if standing[i][1].kind in _WITHDRAWN), None)
    if place is None:
        return None
    answer = standing[place][1]
    while (
        place
        and standing[place - 1][1].kind in (kinds.PICKED, kinds.READY)
        and (standing[place][1].kind != kinds.PICKED)
    ):
        place -= 1
    return standing[place][0], answer


_WITHDRAWN = kinds.ANSWERS | {kinds.PICKED, kinds.READY}
