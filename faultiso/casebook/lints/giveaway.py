"""A text that is read before the work is done names the faulty unit: title, aims, and the first hint."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from faultiso.base.problems import Problem, Where
from faultiso.casebook.case import Case
from faultiso.model.system import Model


def check(case: Case, model: Model) -> Iterable[Problem]:
    """Every early text with the title, the name or another name of a unit that is faulty."""
    for what, text, where in _early(case):
        found = named_in(text, model, case.truth)
        if found:
            message = f'{what} names what is faulty ("{found}"); expected words that give nothing away'
            yield Problem("giveaway", where, message)


def named_in(text: str, model: Model, truth: Iterable[str]) -> str:
    """The name of a faulty unit that stands in a text; "" if none does."""
    units = [model.components[model.faults[fault].component] for fault in truth]
    names = dict.fromkeys(name for unit in units for name in (unit.title, unit.name, *unit.also))
    return next((name for name in names if f" {_plain(name)} " in f" {_plain(text)} "), "")


def _early(case: Case) -> Iterator[tuple[str, str, Where]]:
    yield "the title", case.title, case.place("title")
    for number, aim in enumerate(case.aims):
        yield "an aim", aim.text, case.place("aims", number, "text")
    yield "the first hint", case.hints[0], case.place("hints", 0)


def _plain(text: str) -> str:
    return " ".join(re.findall(r"[a-z0-9]+", text.casefold()))
