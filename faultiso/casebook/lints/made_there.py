"""A check that is reported or pinned where it can not be made, or whose reading a case can not fix."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from faultiso.base.problems import Problem
from faultiso.casebook.case import Case
from faultiso.casebook.complaint import pinned_setting, setting_of
from faultiso.model.system import Model
from faultiso.network.timeline import matches


def check(case: Case, model: Model) -> Iterable[Problem]:
    """Every check in conditions that meet none of its needs, and every pinned one that swaps units."""
    for path, conditions in _readings(case, model):
        made = model.checks.get(path[-1])
        if made is None:
            continue
        where = case.place(*path)
        if made.work.needs and not any(matches(match, conditions) for match in made.work.needs):
            needs = " or ".join(_words(match) for match in made.work.needs)
            message = f'"{made.name}" is not made in these conditions: it needs {needs}'
            yield Problem("made_there", where, message)
        elif made.work.swaps and path[0] == "pins":
            message = f'"{made.name}" swaps units, and what it shows goes with them; it cannot be pinned'
            yield Problem("made_there", where, message)


def _readings(case: Case, model: Model) -> Iterator[tuple[tuple[str, int, str, str], Mapping[str, str]]]:
    """The path of every reading, with the conditions that it was read in."""
    for number, seen in enumerate(case.seen):
        for name in seen.reports:
            yield ("seen", number, "reports", name), setting_of(model, seen.setting)
    for number, pin in enumerate(case.pins):
        for name in pin.shows:
            yield ("pins", number, "shows", name), setting_of(model, pinned_setting(case, pin))


def _words(match: Mapping[str, tuple[str, ...]]) -> str:
    return ", ".join(f"{name} {'/'.join(values)}" for name, values in match.items())
