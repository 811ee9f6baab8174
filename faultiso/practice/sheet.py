"""The data sheet of the system: what a part is, what is normal, in which conditions a light can speak."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from faultiso.base.numbers import show_number
from faultiso.base.problems import UsageError
from faultiso.model.expected import expected
from faultiso.model.parts import Check, Indication
from faultiso.model.silence import hushed, silence
from faultiso.model.system import Model
from faultiso.session import words
from faultiso.session.replies import Facts, Grid, Listing, Reply, Said
from faultiso.session.search import Findable, search

MOST_FOUND = 9


def sheet(model: Model, rest: str) -> tuple[Reply, ...]:
    """The sheet of what the letters mean; without any, what can be asked for."""
    if not rest:
        return _contents(model)
    if rest.casefold() in _LISTS:
        return (_LISTS[rest.casefold()](model),)
    found = search(rest, _things(model))
    if not found:
        raise UsageError(f'The data sheet has nothing called "{rest[:40]}".')
    if len(found) > 1 and found[0].title.casefold() != rest.casefold():
        more = max(0, len(found) - MOST_FOUND)
        hint = f"{more} more; data, then more letters" if more else "data, then more letters"
        return (Listing(tuple((thing.title, "") for thing in found[:MOST_FOUND]), hint=hint),)
    return (_facts(model, found[0].name),)


def _contents(model: Model) -> tuple[Reply, ...]:
    pairs = (
        ("system", model.title),
        ("about", model.about or "-"),
        ("lights, gauges, sounds", ", ".join(i.title for i in model.indications.values())),
        ("schematic", f"faultiso model show {model.name} --flow, in another window"),
    )
    further = (
        "data, then letters of a light, a gauge, a unit or a check; or data checks, data units, for all."
    )
    return (Facts("Data sheet", pairs), Said(further))


def _all_checks(model: Model) -> Grid:
    """Every check with its own minutes; what its needs and the way to it take comes on top."""
    checks = model.checks.values()
    rows = tuple((c.title, f"{c.work.minutes:.0f}") for c in checks)
    return Grid("Checks, without what their needs take", ("check", "min"), ("text", "minutes"), rows)


def _all_units(model: Model) -> Grid:
    units = (part for part in model.components.values() if part.replaceable)
    rows = tuple((unit.title, model.zones[unit.zone].title if unit.zone else "") for unit in units)
    return Grid("Units that can be changed", ("unit", "where"), ("text", "text"), rows)


_LISTS: dict[str, Callable[[Model], Grid]] = {"checks": _all_checks, "units": _all_units}


def _things(model: Model) -> tuple[Findable, ...]:
    parts = (model.indications, model.components, model.checks, model.conditions)
    return tuple(Findable(p.name, p.title, p.also) for group in parts for p in group.values())


def _facts(model: Model, name: str) -> Facts:
    if name in model.indications:
        sign = model.indications[name]
        return Facts(words.capital(sign.title), (*_about(sign.about), *_shows(sign), *_normally(model, name)))
    if name in model.checks:
        check = model.checks[name]
        return Facts(words.capital(check.title), (*_about(check.about), *_shows(check)))
    part = model.components.get(name) or model.conditions[name]
    pairs = (*_about(part.about), *_neighbours(model, name))
    return Facts(words.capital(part.title), pairs or (("about", "nothing more"),))


def _neighbours(model: Model, name: str) -> Iterator[tuple[str, str]]:
    """Where a unit is, and what stands before and after it in the flow."""
    unit = model.components.get(name)
    if unit is None:
        return
    if unit.zone:
        yield "where", model.zones[unit.zone].title
    before = [link.source for link in model.flow if link.target == name]
    after = [link.target for link in model.flow if link.source == name]
    for head, names in (("before it", before), ("after it", after)):
        if names:
            yield head, ", ".join(model.components[n].title for n in dict.fromkeys(names))


def _about(text: str) -> Iterator[tuple[str, str]]:
    if text:
        yield "about", text


def _shows(sign: Indication | Check) -> Iterator[tuple[str, str]]:
    """Its outcomes, with their ranges where it shows a number."""
    found = []
    for outcome in sign.outcomes:
        title = words.outcome_words(sign, outcome)
        if outcome in sign.ranges:
            low, high = sign.ranges[outcome]
            title += f" {show_number(low)} to {show_number(high)} {sign.unit}"
        found.append(title)
    yield "can show", "; ".join(found)


def _normally(model: Model, name: str) -> Iterator[tuple[str, str]]:
    """What it shows with nothing wrong, and where it can show nothing else; situations alike in one line."""
    sign = model.indications[name]
    alike: dict[str, list[str]] = {}
    for situation in model.situations.values():
        shown = words.outcome_words(sign, expected(model, situation.values)[name])
        silent = silence(model, name, {**model.start, **situation.values})
        why = f"; it can show nothing else ({words.settings_words(model, silent.because)})" if silent else ""
        quiet = None if silent else hushed(model, name, situation.values)
        why = f"; kept quiet ({words.settings_words(model, quiet.because)})" if quiet else why
        alike.setdefault(f"{shown}{why}", []).append(situation.title)
    for shown, titles in alike.items():
        where = "in every situation" if len(alike) == 1 else "; ".join(titles)
        yield "with nothing wrong", f"{shown}: {where}"
