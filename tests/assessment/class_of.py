"""A class for the tests: the case of the cart worked by several people, each with files of their own."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from faultiso.assessment.submissions import Refused, Submission, submissions
from faultiso.base.journal import FIRST, Journal, read
from faultiso.casebook.case import Case
from faultiso.casebook.library import case_files
from faultiso.casebook.load import read_case
from faultiso.casebook.models import Models
from faultiso.model.system import Model
from faultiso.practice.practice import begin
from faultiso.practice.terms import Mode, Terms
from faultiso.session.home import Home, Log, hand_in, keep, new_journal

CART = "hot-cart"
#: a whole way through the case of the cart: from the first look to a proved repair
WHOLE = (
    "overheat light", "fan test", "fan thermostat 60", "4", "ready", "repair replace thermostat", "", "1 2", "ready",
    "chapter 29", "let it cool", "ready", "chapter 30", "verify", "1", "ready", "finish",
)  # fmt: skip
#: the same part, without a look at anything; then it is referred
BY_LUCK = ("repair replace thermostat", "", "", "ready", "nk", "finish", "2")
GIVEN_UP = ("overheat light", "quit")


@cache
def case_of(name: str = CART) -> tuple[Case, Model]:
    """A shipped case with its model."""
    return read_case(case_files()[name], Models())


def worked(
    place: Home,
    lines: Iterable[str] = WHOLE,
    candidate: str = "14",
    mode: Mode = "quiet",
    name: str = CART,
    now: Callable[[], str] | None = None,
    pack: str = "",
) -> Path:
    """The log of a practice in a home folder, with the copies that are kept of it unless it is sealed."""
    case, model = case_of(name)
    files = sorted(case_files()[name].parent.parent.glob(f"models/{case.model}*.yaml"))
    if not pack:
        keep(place, model.digest, files)
        keep(place, case.digest, [case_files()[name]])
    model_file = f"{case.model}.yaml"
    terms = Terms(mode, candidate, 0.0, model_file, f"{name}.yaml", pack)
    with new_journal(place, name) as journal:
        journal._now = now or journal._now
        play = begin(case, model, journal, terms)
        for line in lines:
            play.take(line)
        return journal.path


def handed_in(place: Home, path: Path, to: Path) -> Path:
    """The zip file of a log."""
    return hand_in(place, Log(1, path, read(path)), to)


def split(*paths: Path, **given: Any) -> tuple[list[Submission], list[Refused]]:
    """What is taken and what is refused."""
    found = list(submissions(paths, **given))
    taken = [each for each in found if isinstance(each, Submission)]
    return taken, [each for each in found if isinstance(each, Refused)]


def sealed_anew(path: Path, change: Callable[[int, dict[str, Any]], Mapping[str, Any]]) -> None:
    """The log with lines changed and every seal made anew: nothing in it tells."""
    before, lines = FIRST, []
    for line in path.read_bytes().splitlines():
        found = json.loads(line)
        body = {**change(found["n"], found), "before": before}
        del body["own"]
        text = json.dumps(body, separators=(",", ":"))[:-1]
        before = hashlib.sha256(text.encode()).hexdigest()[:32]
        lines.append(f'{text},"own":"{before}"}}\n')
    path.write_text("".join(lines), encoding="ascii")


def written(path: Path, *events: tuple[str, Mapping[str, Any]]) -> Path:
    """A log of these events."""
    with Journal(path, new=True) as journal:
        for event, data in events:
            journal.append(event, data)
    return path


def begun_with(path: Path, **data: Any) -> None:
    """The log with other data in its first line, sealed anew."""
    sealed_anew(path, lambda n, line: {**line, "data": {**line["data"], **data}} if n == 1 else line)
