"""What stands in the cells of a history, understood: an order, and what is wrong or doubtful in it.

Nothing is guessed: a name, an outcome or a word that model and format do not know sets the row aside.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from faultiso.base.columns import Column
from faultiso.base.nearest import listed, nearest
from faultiso.base.problems import Severity, UsageError
from faultiso.belief.observed import conditions_of, reading_of, sign_of
from faultiso.learning.orders import Order, Said, settings
from faultiso.learning.rows import Finding, Words
from faultiso.model.system import Model

COLUMNS = (
    Column("visit", ("visit", "work order", "order", "number")),
    Column("hours", ("hours", "fleet hours", "hours since previous", "flight hours"), required=True),
    Column("situation", ("situation", "seen in")),
    Column("conditions", ("conditions", "what differed")),
    Column("complaint", ("complaint", "signs", "reported"), required=True),
    Column("others", ("others", "other indications")),
    Column("checks", ("checks", "checks made", "done")),
    Column("found", ("found", "fault found", "fault"), required=True),
    Column("result", ("result", "closed as", "outcome"), required=True),
)
HEADS = tuple(column.name for column in COLUMNS)
TOLD = tuple(name for name in HEADS if name not in ("visit", "hours"))

#: how an order can be closed, and what that says of what was found
RESULTS: Mapping[str, Words] = {
    "rectified": "proved",
    "test satisfactory": "weak",
    "no fault found": "none",
    "referred": "",
    "deferred": "",
    "not known": "",
}
_MORE_RESULTS = {
    "unit replaced, test satisfactory": "test satisfactory",
    "nff": "no fault found",
    "nk": "not known",
}
_NONE, _NOT_KNOWN = "none", ("", "nk", "not known")


@dataclass(frozen=True)
class Remark:
    """One thing that is wrong (the row is set aside) or doubtful (a warning) in a column."""

    column: str
    message: str
    nearest: str = ""
    severity: Severity = "error"


@dataclass(frozen=True)
class Understood:
    """``order`` is None where something is wrong."""

    order: Order | None
    remarks: tuple[Remark, ...] = ()


def understood(model: Model, cells: Mapping[str, str]) -> Understood:
    """The order that the cells of one row stand for; ``cells``: a text for each of ``TOLD``."""
    remarks: list[Remark] = []
    situation = _known(cells["situation"], "situation", tuple(model.situations), "situation", remarks)
    conditions = _conditions(model, cells["conditions"], remarks)
    complaint = _readings(model, cells["complaint"], "complaint", remarks)
    checks = _readings(model, cells["checks"], "checks", remarks)
    others = _known(
        cells["others"].casefold(), "others", ("normal", "unknown"), "word for the others", remarks
    )
    finding = _finding(model, cells["found"], cells["result"], remarks)
    if any(remark.severity == "error" for remark in remarks):
        return Understood(None, tuple(remarks))
    order = Order(situation, conditions, complaint, others == "normal", checks, finding)
    return Understood(order, (*remarks, *_nothing_said(order)))


def _nothing_said(order: Order) -> Iterator[Remark]:
    if not (order.complaint or order.checks or order.normal or order.finding.words):
        yield Remark("complaint", "nothing stands in this row; it counts for its hours alone", "", "warning")


def _known(text: str, column: str, known: tuple[str, ...], what: str, remarks: list[Remark]) -> str:
    if text in _NOT_KNOWN:
        return ""
    if text not in known:
        remarks.append(
            Remark(column, f'no {what} is called "{text}"; expected {listed(known)}', nearest(text, known))
        )
    return text


def parts(text: str) -> list[str]:
    """What stands between semicolons."""
    return [part.strip() for part in text.split(";") if part.strip()]


def _conditions(model: Model, text: str, remarks: list[Remark]) -> tuple[tuple[str, str], ...]:
    found: dict[str, str] = {}
    for part in parts(text):
        name, sign, value = (piece.strip() for piece in part.partition("="))
        if not sign:
            remarks.append(Remark("conditions", f'"{part}": expected name=value'))
            continue
        try:
            conditions_of(model, {name: value})
        except UsageError as error:
            remarks.append(Remark("conditions", str(error)))
        if found.setdefault(name, value) != value:
            remarks.append(Remark("conditions", f"{name} is given twice, {found[name]} and {value}"))
    return settings(found)


def _readings(model: Model, text: str, column: str, remarks: list[Remark]) -> tuple[Said, ...]:
    found = []
    for part in parts(text):
        name, sign, outcome = (piece.strip() for piece in part.partition("="))
        outcome, _, situation = (piece.strip() for piece in outcome.partition("@"))
        if not sign or not outcome:
            remarks.append(Remark(column, f'"{part}": expected name=outcome or name=outcome@situation'))
            continue
        try:
            if reading_of(sign_of(model, name), outcome, 0) is not None:
                found.append(Said(name, outcome, situation))
        except UsageError as error:
            remarks.append(Remark(column, str(error)))
        _known(situation, column, tuple(model.situations), "situation", remarks)
    return tuple(found)


def _finding(model: Model, found: str, result: str, remarks: list[Remark]) -> Finding:
    """What was found; where the two columns do not go together, it is taken as not known and doubtful."""
    faults, units = _names(model, found, remarks)
    words = _words(result, remarks)
    named, none = bool(faults or units), found.casefold() == _NONE
    if words == "" and named:
        remarks.append(
            Remark(
                "found",
                "named, but not said to be rectified; taken as a unit that was changed",
                "",
                "warning",
            )
        )
        return Finding("weak", faults, units)
    if (words == "none" and not named) or (words == "" and none):
        return Finding("none")
    if words == "":
        return Finding()
    if (words in ("proved", "weak")) == named:
        return Finding(words, faults, units)
    remarks.append(Remark("found", _CLASH[words], "", "warning"))
    return Finding()


_CLASH: Mapping[str, str] = {
    "proved": "rectified, but no fault or unit is named; what was wrong is taken as not known",
    "weak": "a test was satisfactory, but no unit is named; what was wrong is taken as not known",
    "none": "no fault found, but something is named; what was wrong is taken as not known",
}


def _names(model: Model, text: str, remarks: list[Remark]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    faults, units = [], []
    if text.casefold() in (*_NOT_KNOWN, _NONE):
        return (), ()
    with_faults = [name for name, unit in model.components.items() if unit.faults]
    for part in parts(text):
        if part in model.faults:
            faults.append(part)
        elif part in with_faults:
            units.append(part)
        else:
            known = [*model.faults, *with_faults]
            message = f'no fault or unit is called "{part}"; expected unit.fault, unit or none'
            remarks.append(Remark("found", message, nearest(part, known)))
    return tuple(sorted(set(faults))), tuple(sorted(set(units)))


def _words(text: str, remarks: list[Remark]) -> Words:
    plain = text.casefold().replace("_", " ").strip(" .")
    plain = _MORE_RESULTS.get(plain, plain) or "not known"
    if plain not in RESULTS:
        known = tuple(RESULTS)
        message = f'an order is not closed as "{text}"; expected {listed(known)}'
        remarks.append(Remark("result", message, nearest(plain, known)))
        return ""
    return RESULTS[plain]
