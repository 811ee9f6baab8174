"""A text that could hurt somebody: what no model may say, no case may say either."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from faultiso.base.problems import Problem, Where
from faultiso.casebook.case import Case
from faultiso.language.lints import hands, loosening, torque
from faultiso.model.system import Model


def check(case: Case, model: Model) -> Iterable[Problem]:
    """A hand near a line, how to open something, a torque: in any text that people read."""
    for lint in (hands, loosening, torque):
        for problem in lint.judged(_texts(case)):
            yield replace(problem, code="wording")


def _texts(case: Case) -> Iterator[tuple[str, Where]]:
    for key in ("title", "write_up", "good_solution", "notes"):
        yield getattr(case, key), case.place(key)
    for number, hint in enumerate(case.hints):
        yield hint, case.place("hints", number)
    for number, aim in enumerate(case.aims):
        yield aim.text, case.place("aims", number, "text")
    for who, lines in case.says.items():
        for number, line in enumerate(lines):
            yield line, case.place("says", who, number)
