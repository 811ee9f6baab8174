"""Receipts that were handed in apart from the logs, compared with them.

    candidate,case,receipt
    14,first-light,7F3K-Q2WM

Whoever changes a log and seals it anew gets another receipt; the one on paper is then not that of the log.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from faultiso.assessment.roster import candidate_key
from faultiso.assessment.submissions import Refused, Submission
from faultiso.base.journal import receipt_of, same_receipt
from faultiso.base.problems import InvalidModel, Problem
from faultiso.base.sheets import Cell, Sheet, read_sheet

COLUMNS = "candidate,case,receipt"
_WORK = ("case", "session", "session or case")


@dataclass(frozen=True)
class Noted:
    """One line of a list of receipts. ``work``: the name of a case or the number of a session, or ""."""

    candidate: str
    work: str
    receipt: str
    line: int = 0


@dataclass(frozen=True)
class HandedIn:
    """What a log says, as far as receipts go. ``receipt`` is "" if the log was altered."""

    candidate: str
    case: str
    called: str
    session: str
    receipt: str


@dataclass(frozen=True)
class Compared:
    """One finding: ``kind`` "same" is none to worry about; ``line`` of the list, 0 if it is about a log."""

    kind: Literal["same", "different", "no log", "no receipt"]
    candidate: str
    sentence: str
    line: int = 0


def handed_in(each: Submission | Refused) -> HandedIn:
    """What is compared of a log, whether it can be graded or not."""
    case = each.case.name if isinstance(each, Submission) else each.case
    session = Path(each.inside or each.path.name).stem
    return HandedIn(each.candidate, case, each.called, session, receipt_of(each.seal) if each.seal else "")


def read_receipts(path: Path) -> tuple[Noted, ...]:
    """The list in a file (CSV); UsageError if it cannot be read, InvalidModel with all that is wrong."""
    sheet = read_sheet(path, "list of receipts", COLUMNS)
    problems = list(sheet.problems)
    places = {cell.text.casefold(): place for place, cell in reversed(list(enumerate(sheet.head)))}
    for title in ("candidate", "receipt"):
        if title not in places:
            message = f'no column is called "{title}"; expected a first line "{COLUMNS}"'
            problems.append(Problem("column", sheet.head[0].where(sheet.file), message))
    noted: tuple[Noted, ...] = ()
    if {"candidate", "receipt"} <= set(places):
        noted = tuple(_noted(sheet, places, problems))
    if any(problem.severity == "error" for problem in problems):
        raise InvalidModel(tuple(problems))
    return noted


def _noted(sheet: Sheet, places: dict[str, int], problems: list[Problem]) -> Iterable[Noted]:
    work = next((places[title] for title in _WORK if title in places), None)
    for row in sheet.rows:
        empty = Cell("", row[0].line, row[0].column)
        cell = {place: row[place] if place < len(row) else empty for place in places.values()}
        number, receipt = cell[places["candidate"]], cell[places["receipt"]]
        if not number.text or not receipt.text:
            message = "a line without a candidate number or without a receipt"
            problems.append(
                Problem("receipt", (receipt if number.text else number).where(sheet.file), message)
            )
            continue
        yield Noted(number.text, cell[work].text if work is not None else "", receipt.text, number.line)


def compared(noted: Sequence[Noted], logs: Sequence[HandedIn]) -> tuple[Compared, ...]:
    """Each line of the list against the logs, then the logs for which no receipt was handed in."""
    found = [_judged(each, logs) for each in noted]
    covered = {
        (candidate_key(each.candidate), log.called) for each in noted for log in logs if _is_of(each, log)
    }
    return (*found, *_not_noted(logs, covered))


def _judged(noted: Noted, logs: Sequence[HandedIn]) -> Compared:
    who = noted.candidate
    about = [log for log in logs if _is_of(noted, log)]
    if any(_fits(noted, log) for log in about):
        return Compared("same", who, "the receipt is that of the log.", noted.line)
    other = next((log for log in logs if _fits(noted, log)), None)
    if other is not None:
        sentence = (
            f"the receipt {noted.receipt} is that of {other.called}, another log than it was noted for."
        )
        return Compared("different", who, sentence, noted.line)
    if not about:
        wanted = f" of {noted.work}" if noted.work else ""
        return Compared(
            "no log", who, f"no log{wanted} was handed in for the receipt {noted.receipt}.", noted.line
        )
    log = about[0]
    if not log.receipt:
        return Compared("different", who, f"{log.called} was altered and fits no receipt.", noted.line)
    why = "the log was gone on with, changed or exchanged after it"
    if _misread(noted.receipt, log.receipt):
        why = f"they differ in one character, so it was perhaps misread; if not, {why}"
    sentence = f"{log.called} has the receipt {log.receipt}; {noted.receipt} was handed in: {why}."
    return Compared("different", who, sentence, noted.line)


def _misread(noted: str, receipt: str) -> bool:
    return len(noted) == len(receipt) and sum(a != b for a, b in zip(noted, receipt, strict=True)) == 1


def _fits(noted: Noted, log: HandedIn) -> bool:
    return bool(log.receipt) and same_receipt(noted.receipt, log.receipt)


def _is_of(noted: Noted, log: HandedIn) -> bool:
    """Whether a log is one that the line can be about: of this candidate, and of that case or session."""
    if candidate_key(noted.candidate) != candidate_key(log.candidate):
        return False
    work = noted.work.casefold().removesuffix(".jsonl")
    number = log.session.partition("-")[0]
    return work in ("", log.case.casefold(), log.session.casefold()) or (
        work.isascii() and work.isdigit() and number.isdigit() and int(work[:9]) == int(number[:9])
    )


def _not_noted(logs: Iterable[HandedIn], covered: set[tuple[str, str]]) -> Iterable[Compared]:
    for log in logs:
        if (candidate_key(log.candidate), log.called) not in covered:
            yield Compared("no receipt", log.candidate, f"no receipt was handed in for {log.called}.")
