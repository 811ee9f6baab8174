"""The replay of a file of marks: from its lines to what stands of each session."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from pathlib import Path

from faultiso.assessment.standing import (
    BEGAN,
    CHANGED,
    CONFIRMED,
    DIGESTS,
    FORMAT,
    PROPOSED,
    WITHDRAWN,
    Act,
    Change,
    MarksError,
    Standing,
    number,
)
from faultiso.base.journal import Entry, read
from faultiso.base.text import one_line


def read_marks(path: Path) -> dict[str, Standing]:
    """What stands of each session, by the last seal of its log. JournalError, MarksError.

    A file that ends within a line is refused: what it was cut from may have held more marks.
    """
    entries = read(path)
    found = replayed(path, entries)
    if not path.read_bytes().endswith(b"\n"):
        raise MarksError(
            f"{path.name}: its last line is cut off, so more may be missing after it. Go on from a whole "
            f"copy; if you are sure that there was none, delete what stands after line {len(entries)}."
        )
    return found


def replayed(path: Path, entries: Iterable[Entry]) -> dict[str, Standing]:
    """The replay of the lines of a file of marks; ``path`` is what an error names."""
    found: dict[str, Standing] = {}
    first = True
    for entry in entries:
        if first != (entry.event == BEGAN) or (first and entry.data.get("format") != FORMAT):
            raise MarksError(f"{path.name}: line {entry.number}: this is no file of marks of this version.")
        first = False
        if entry.event != BEGAN:
            apply(path, found, entry)
    return found


def apply(path: Path, found: dict[str, Standing], entry: Entry) -> None:
    """One line more; MarksError if it makes no sense."""
    try:
        step = _STEPS[entry.event]
        seal = entry.data["seal"]
        after = step(found.get(seal), entry)
        _ = (after.mark, after.points, after.attention, after.candidate, after.case, after.passed)
        found[seal] = after
    except (LookupError, TypeError, ValueError, AttributeError, ArithmeticError) as error:
        sentence = f"line {entry.number}: {one_line(str(error), 80)}: this line makes no sense."
        raise MarksError(f"{path.name}: {sentence}") from None


Step = Callable[[Standing | None, Entry], Standing]


def _proposed(standing: Standing | None, entry: Entry) -> Standing:
    data = entry.data
    proposal = {"grade": data["grade"], "pass_mark": number(data["pass_mark"]), "line": entry.number}
    digests = {name: str(data[name]) for name in DIGESTS}
    if standing is None:
        return Standing(
            seal=str(data["seal"]),
            receipt=str(data["receipt"]),
            grade=data["grade"],
            pass_mark=number(data["pass_mark"]),
            digests=digests,
            proposals=(proposal,),
            line=entry.number,
        )
    after = replace(
        standing,
        grade=data["grade"],
        pass_mark=number(data["pass_mark"]),
        digests=digests,
        proposals=(*standing.proposals, proposal),
        line=entry.number,
        withdrawn=None,
    )
    return after if _is_same(standing, after) else replace(after, confirmed=None)


def _is_same(before: Standing, after: Standing) -> bool:
    """Whether a confirmation of the one is one of the other: same points, gates, and things to look at."""
    return _essence(before) == _essence(after)


def _essence(standing: Standing) -> tuple[object, ...]:
    points = tuple((each.criterion, each.points, each.out_of, each.proposed) for each in standing.points)
    return (points, standing.gates, standing.attention, standing.mark, standing.passed)


def _changed(standing: Standing | None, entry: Entry) -> Standing:
    there, data = _there(standing), entry.data
    change = Change(
        criterion=str(data["criterion"]),
        old=None if data["old"] is None else number(data["old"]),
        new=number(data["new"]),
        proposed=None if data["proposed"] is None else number(data["proposed"]),
        out_of=number(data["of"]),
        because=str(data["because"]),
        by=str(data["by"]),
        at=entry.at,
        line=entry.number,
    )
    return replace(there, changes=(*there.changes, change), confirmed=None)


def _confirmed(standing: Standing | None, entry: Entry) -> Standing:
    there, act = _there(standing), _act(entry)
    return replace(there, confirmed=act, confirmations=(*there.confirmations, act))


def _withdrawn(standing: Standing | None, entry: Entry) -> Standing:
    return replace(_there(standing), withdrawn=_act(entry))


def _act(entry: Entry) -> Act:
    return Act(str(entry.data["by"]), entry.at, entry.number, str(entry.data.get("because", "")))


def _there(standing: Standing | None) -> Standing:
    """ValueError if nothing was proposed before."""
    if standing is None:
        raise ValueError("nothing was proposed for this session")
    return standing


_STEPS: Mapping[str, Step] = {
    PROPOSED: _proposed, CHANGED: _changed, CONFIRMED: _confirmed, WITHDRAWN: _withdrawn,
}  # fmt: skip
