"""One part of a model, by its name, as a page: what it is, what acts on it, what tells of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from faultiso.base.figures import minutes_words
from faultiso.base.nearest import nearest
from faultiso.base.problems import UsageError
from faultiso.model.parts import (
    Check,
    Component,
    Condition,
    Fault,
    Indication,
    Quantity,
    Repair,
    Rule,
    Situation,
)
from faultiso.model.silence import silencing_row
from faultiso.model.system import Model
from faultiso.report.page import Block, Column, KeyValues, Page, Table, Text
from faultiso.report.pages.model_words import (
    chance_of,
    filled,
    is_inhibit,
    levels_in_words,
    match_in_words,
    matches_in_words,
    normal_values,
    number,
    places,
    proof_of,
    reads,
    row_result,
    seen_by,
    work_pairs,
    zone_title,
)

Pairs = list[tuple[str, str]]
Normals = Mapping[str, Mapping[str, str]]


def show_part(model: Model, name: str) -> Page:
    """A quantity, indication, check, component, fault, condition, situation or repair in the file's words.

    Raises UsageError, with the nearest name, if the model knows none of that name.
    """
    for mapping, build in _kinds(model):
        if name in mapping:
            part = mapping[name]
            about = [Text(part.about)] if getattr(part, "about", "") else []
            return Page(f"{name}: {part.title}", model.subject, (*about, *build(part, model)))
    near = nearest(name, [known for mapping, _ in _kinds(model) for known in mapping])
    raise UsageError(f"{model.name} has no part called {name}{f'; nearest: {near}' if near else ''}")


def _kinds(model: Model) -> list[tuple[Mapping[str, Any], Callable[[Any, Model], list[Block]]]]:
    return [
        (model.quantities, _quantity),
        (model.indications, _indication),
        (model.checks, _check),
        (model.components, _component),
        (model.faults, _fault),
        (model.conditions, _condition),
        (model.situations, _situation),
        (model.repairs, _repair),
    ]


def _pairs(pairs: Pairs) -> list[Block]:
    kept = tuple(filled(pairs))
    return [KeyValues(kept)] if kept else []


def _quantity(part: Quantity, model: Model) -> list[Block]:
    unit = f", {part.unit}" if part.unit else ""
    levels = Text(f"{part.name}{unit}: {levels_in_words(part.levels, part.ranges)}")
    table, pairs = _decided(part, model)
    for level in part.levels[1:]:
        causes = [chance_of(cause, level, model) for cause in part.causes]
        if part.leak.get(level):
            causes.append(f"anything else ({number(part.leak[level])})")
        pairs.append((f"{level} from", ", ".join(cause for cause in causes if cause)))
    if part.remember:
        pairs.append(("remembers", "its highest level, until an action resets it"))
    pairs += [("acts on", ", ".join(_acts_on(part.name, model)))]
    pairs += [("seen by", ", ".join(seen_by(part.name, model)))]
    return [levels, *table, *_pairs(pairs)]


def _decided(part: Quantity, model: Model) -> tuple[list[Block], Pairs]:
    """The rows of a quantity: gathered by level where that keeps their order, else as a table."""
    results = [row_result(rule) for rule in part.rules]
    runs = [result for i, result in enumerate(results) if i == 0 or results[i - 1] != result]
    if len(runs) > len(set(runs)) or any(rule.like for rule in part.rules):
        lines = tuple(
            (str(i), match_in_words(r.when, model), row_result(r)) for i, r in enumerate(part.rules, 1)
        )
        columns = (Column("row", "number"), Column("when"), Column("level"))
        return [Table(columns, lines, "the first row that matches counts")], []
    whens = {level: [rule.when for rule in part.rules if rule.then == level and rule.when] for level in runs}
    pairs = [(f"{level} when", matches_in_words(matches, model)) for level, matches in whens.items()]
    rest = [("otherwise", rule.then) for rule in part.rules if not rule.when]
    return [], [*pairs, *rest]


def _acts_on(name: str, model: Model) -> list[str]:
    return [
        other.name
        for other in model.quantities.values()
        if reads(other, name) or any(cause.source == name for cause in other.causes)
    ]


def rows(part: Indication | Check, model: Model, silent: Mapping[str, Rule] | None = None) -> Table:
    """A table of first match in words; for an indication also which rows keep it silent.

    ``silent``: what `silent_in` found, if it is known already.
    """
    columns = [Column("row", "number"), Column("when"), Column("shows")]
    lines = [(str(i), match_in_words(r.when, model), row_result(r)) for i, r in enumerate(part.rules, 1)]
    about = "the first row that matches counts"
    if isinstance(part, Check):
        return Table(tuple(columns), tuple(lines), about)
    known = list((silent_in(part, model) if silent is None else silent).values())
    marks = [_mark(rule, part, model, rule in known) for rule in part.rules]
    marked = tuple((*line, mark) for line, mark in zip(lines, marks, strict=True))
    return Table((*columns, Column("that is")), marked, about)


def silent_in(part: Indication, model: Model, normals: Normals | None = None) -> dict[str, Rule]:
    """Situation -> the row that keeps the indication quiet there with nothing wrong."""
    known = normals_of(model) if normals is None else normals
    found = {name: silencing_row(part, values, model) for name, values in known.items()}
    return {name: row for name, row in found.items() if row is not None}


def normals_of(model: Model) -> Normals:
    """For every situation the values of everything with nothing wrong."""
    return {name: normal_values(model, name) for name in model.situations}


def _mark(rule: Rule, part: Indication, model: Model, silences: bool) -> str:
    if silences or is_inhibit(rule, part, model):
        return "silent: tells nothing"
    if rule.when and rule.then == part.outcomes[0] and any(key in model.faults for key in rule.when):
        return "quiet by a fault"
    return ""


def keeps(part: Indication) -> Pairs:
    """Memory, delay and misreading of an indication."""
    memory = {
        "latched": "latched: stays until it is reset",
        "stored": "stored in a memory until it is cleared",
    }
    return [
        ("memory", memory.get(part.memory, "")),
        ("delay", f"{number(part.delay)} s" if part.delay else ""),
        ("misread", f"{number(part.misread)} of looks" if part.misread else ""),
    ]


def _indication(part: Indication, model: Model) -> list[Block]:
    pairs: Pairs = [
        ("kind", part.kind),
        ("place", zone_title(part.place, model) if part.place else ""),
        _outcomes(part),
        ("tolerance", f"plus or minus {number(part.tolerance)} {part.unit}" if part.tolerance else ""),
        *keeps(part),
        ("read by", ", ".join(seen_by(part.name, model))),
    ]
    return [*_pairs(pairs), rows(part, model)]


def _outcomes(part: Indication | Check) -> tuple[str, str]:
    unit = f", {part.unit}" if part.unit else ""
    return (f"outcomes{unit}", levels_in_words(part.outcomes, part.ranges))


def _check(part: Check, model: Model) -> list[Block]:
    single = part.rules[0].like if len(part.rules) == 1 else ""
    pairs: Pairs = [
        ("asks", part.asks),
        ("reads", single),
        _outcomes(part),
        *work_pairs(part.work, model),
        ("misses", f"{number(part.miss)}" if part.miss else ""),
        ("false alarms", f"{number(part.false_alarm)}" if part.false_alarm else ""),
        ("source", part.source),
    ]
    return [*_pairs(pairs), *([] if single else [rows(part, model)])]


def _component(part: Component, model: Model) -> list[Block]:
    pairs: Pairs = [
        ("zone", zone_title(part.zone, model)),
        ("replaceable", "yes (LRU)" if part.replaceable else "no"),
        ("code", part.code),
        ("access", places(part.access, model)),
        ("fed by", ", ".join(f"{x.source} ({x.carries})" for x in model.flow if x.target == part.name)),
        ("feeds", ", ".join(f"{x.target} ({x.carries})" for x in model.flow if x.source == part.name)),
        ("repairs", ", ".join(_repairs({fault.name for fault in part.faults}, model))),
    ]
    columns = (Column("fault"), Column("title"), Column("per million hours", "number"))
    lines = tuple((fault.name, fault.title, number(fault.rate * 1e6)) for fault in part.faults)
    return [*_pairs(pairs), *([Table(columns, lines, "faults")] if lines else [])]


def _repairs(faults: set[str], model: Model) -> list[str]:
    return [
        f"{repair.name} {minutes_words(repair.work.minutes)}"
        for repair in model.repairs.values()
        if faults & set(repair.clears)
    ]


def _fault(part: Fault, model: Model) -> list[Block]:
    out = part.intermittent
    pairs: Pairs = [
        ("of", model.components[part.component].title),
        ("rate", f"{number(part.rate * 1e6)} per million flight hours"),
        ("source", part.source),
        ("severity", part.severity),
        (
            "shows",
            f"in {number(out.share)} of visits with {matches_in_words(out.brought_out_by, model)}"
            if out
            else "",
        ),
        ("else", f"in {number(out.otherwise)} of visits" if out else ""),
        ("caused by", ", ".join(f"{name} ({number(p)})" for name, p in part.caused_by.items())),
        ("acts on", ", ".join(_acts_on(part.name, model))),
        ("seen by", ", ".join(seen_by(part.name, model))),
        ("repairs", ", ".join(_repairs({part.name}, model))),
    ]
    return _pairs(pairs)


def _condition(part: Condition, model: Model) -> list[Block]:
    pairs: Pairs = [
        ("values", ", ".join(_value(part, value) for value in part.values)),
        ("start", part.start),
        ("settable", "" if part.settable else "no: it cannot be changed by the technician"),
        ("at the end", f"must be back at {part.start}" if part.must_restore else ""),
    ]
    for value, change in part.changes.items():
        work = [minutes_words(change.minutes)]
        work += [f"{change.people} people"] if change.people > 1 else []
        work += [f"with {matches_in_words(change.needs, model)}"] if change.needs else []
        work += [", ".join(change.hazards)] if change.hazards else []
        pairs.append((f"to {value}", ", ".join(work)))
    pairs.append(("decides", ", ".join(_decided_by(part.name, model))))
    return _pairs(pairs)


def _value(part: Condition, value: str) -> str:
    title = part.value_titles.get(value, value)
    return value if title == value else f"{value} ({title})"


def _decided_by(name: str, model: Model) -> list[str]:
    """What depends on a condition: tables that test it, causes that answer by it."""
    found = []
    for part in (*model.quantities.values(), *model.signs()):
        causes = part.causes if isinstance(part, Quantity) else ()
        by_cause = any(name in response.when for cause in causes for response in cause.responses)
        if reads(part, name) or by_cause:
            found.append(part.name)
    return found


def _situation(part: Situation, model: Model) -> list[Block]:
    changed = [(name, value) for name, value in part.values.items() if value != model.start.get(name)]
    rest = len(part.values) - len(changed)
    return [*_pairs(changed), Text(f"{rest} other conditions at their start", quiet=True)]


def _repair(part: Repair, model: Model) -> list[Block]:
    pairs: Pairs = [
        ("of", model.components[part.component].title if part.component in model.components else ""),
        ("clears", ", ".join(part.clears)),
        *work_pairs(part.work, model),
        ("removes nothing", f"in {number(part.fails)} of cases" if part.fails else ""),
        ("proved", proof_of(part, model)),
    ]
    return _pairs(pairs)
