"""The ways in which practice ends: what the person says, never what would be right."""

from __future__ import annotations

from faultiso.base.problems import UsageError
from faultiso.session import events as kinds
from faultiso.session import words
from faultiso.session.desk import Desk
from faultiso.session.ending import (
    DEFERRED,
    HANDED_OVER,
    NO_FAULT_FOUND,
    RECTIFIED,
    REFERRED,
    not_yet,
    open_items,
)
from faultiso.session.replies import Listing, Reply, Said
from faultiso.session.search import Findable, search

Replies = tuple[Reply, ...]
_WAYS = (
    (NO_FAULT_FOUND, "no fault found: list the checks, set monitoring"),
    ("refer", "stop and refer it to the approved data"),
    ("hand over", "hand it over to the next shift as it is"),
)


def finish(desk: Desk) -> Replies:
    """End as rectified where that is proved; else say what is open and offer the other ways to end."""
    state = desk.state
    if state.unrestored:
        return not_yet(desk)
    left = open_items(state)
    if state.last_repair is not None and not left:
        titles = dict.fromkeys(desk.model.repairs[repair.name].title for repair in state.repairs)
        return ended(desk, RECTIFIED, "; ".join(titles))
    desk.choices = tuple(Findable(name, title) for name, title in _WAYS)
    said = f"Open: {'; '.join(left)}." if left else "Nothing was repaired."
    return (
        Said(f"{said} Enter goes on with the work, or:"),
        Listing(tuple((title, "") for _, title in _WAYS)),
    )


def end_as(desk: Desk, name: str) -> Replies | None:
    """End in the way of that name; None if it names none."""
    match name:
        case "refer":
            return ended(desk, REFERRED, "stopped, and referred to the approved data")
        case "hand over":
            return ended(desk, HANDED_OVER, "")
        case "no fault found" if desk.state.unrestored:
            return not_yet(desk)
        case "no fault found":
            return ended(desk, NO_FAULT_FOUND, "checks listed, monitoring set")
    return None


def defer(desk: Desk, rest: str) -> Replies:
    """Put it off under a line of the deferral sheet; whether that was right is judged afterwards."""
    sheet = desk.model.deferrals
    things = tuple(Findable(line.name, line.title) for line in sheet.values())
    found = search(rest, things) if rest else things
    if not found:
        raise UsageError("The training deferral sheet of this model has no such line.")
    if not rest or len(found) > 1:
        rows = tuple((sheet[thing.name].title, _allowed(desk, thing.name)) for thing in found)
        return (Listing(rows, hint="defer, then letters of the line"),)
    line = sheet[found[0].name]
    if not line.allowed:
        return (Said(f"{words.capital(line.title)} may not be deferred."),)
    if desk.state.unrestored:
        return not_yet(desk)
    parts = [line.title, *([f"interval {line.interval}"] if line.interval else [])]
    parts += [f'placard "{line.placard}"'] if line.placard else []
    return ended(desk, DEFERRED, "; ".join(parts), line.name)


def _allowed(desk: Desk, name: str) -> str:
    return "may be deferred" if desk.model.deferrals[name].allowed else "may not be deferred"


def ended(desk: Desk, how: str, what: str, line: str = "") -> Replies:
    desk.record(kinds.ENDED, how=how, what=what, line=line, open=list(open_items(desk.state)))
    return ()
