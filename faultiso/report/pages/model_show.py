"""A model for people: what it consists of, what is normal in a situation, when a light can not speak."""

from __future__ import annotations

from collections.abc import Mapping

from faultiso.base.figures import minutes_words
from faultiso.base.nearest import nearest
from faultiso.base.problems import UsageError
from faultiso.model.parts import Component, Indication, Rule
from faultiso.model.silence import silencing_row
from faultiso.model.system import Model
from faultiso.report.counts import counted, sizes
from faultiso.report.page import Block, Column, Heading, Items, KeyValues, Page, Picture, Table, Text
from faultiso.report.pages.model_part import keeps, normals_of, rows, show_part, silent_in
from faultiso.report.pages.model_words import (
    is_inhibit,
    matches_in_words,
    normal_values,
    number,
    places,
    span,
    zone_title,
)

__all__ = ["show_inhibits", "show_model", "show_normal", "show_part", "show_pictures"]


def show_model(model: Model) -> Page:
    """Structure: conditions, situations, units by zone with their faults, quantities, signs, repairs."""
    sizes_line = ", ".join(counted(count, word) for word, count in sizes(model).items())
    review = [model.review.state, f"version {model.review.version}" if model.review.version else ""]
    blocks: list[Block] = [
        *([Text(model.about)] if model.about else []),
        Text(f"{sizes_line}; {', '.join(part for part in review if part)}", quiet=True, apart=True),
        *_conditions(model),
        *_units(model),
        *_quantities(model),
        *_indications(model),
        *_checks(model),
        *_repairs(model),
        Text(f"More of one of them: faultiso model show {model.name} NAME", apart=True),
    ]
    return Page(model.title, model.subject, tuple(blocks))


def _section(title: str, columns: tuple[Column, ...], lines: list[tuple[str, ...]]) -> list[Block]:
    return [Heading(title), Table(columns, tuple(lines), title)] if lines else []


def _conditions(model: Model) -> list[Block]:
    conditions: list[tuple[str, ...]] = [
        (part.name, part.title, _start_first(part.values, part.start)) for part in model.conditions.values()
    ]
    columns = (Column("name"), Column("condition"), Column("values, start first"))
    situations: list[tuple[str, ...]] = [(s.name, s.title) for s in model.situations.values()]
    return [
        *_section("Conditions", columns, conditions),
        *_section("Situations", (Column("name"), Column("situation")), situations),
    ]


def _start_first(values: tuple[str, ...], start: str) -> str:
    return ", ".join([start, *(value for value in values if value != start)])


def _units(model: Model) -> list[Block]:
    blocks: list[Block] = []
    zones = dict.fromkeys([*model.zones, *(part.zone for part in model.components.values())])
    for zone in zones:
        parts = [part for part in model.components.values() if part.zone == zone]
        lines = [_unit(part) for part in parts]
        columns = (Column("name"), Column("unit"), Column("faults"))
        if lines:
            blocks += [Heading(f"Units, {zone_title(zone, model)}"), Table(columns, tuple(lines), zone)]
    return blocks


def _unit(part: Component) -> tuple[str, ...]:
    sign = " (LRU)" if part.replaceable else ""
    return (part.name, f"{part.title}{sign}", "; ".join(fault.title for fault in part.faults))


def _quantities(model: Model) -> list[Block]:
    lines: list[tuple[str, ...]] = [
        (part.name, part.title, ", ".join(part.levels), part.unit) for part in model.quantities.values()
    ]
    columns = (Column("name"), Column("hidden quantity"), Column("levels"), Column("unit"))
    return _section("Quantities", columns, lines)


def _indications(model: Model) -> list[Block]:
    lines: list[tuple[str, ...]] = [
        (part.name, part.title, part.kind, ", ".join(part.outcomes)) for part in model.indications.values()
    ]
    columns = (Column("name"), Column("indication"), Column("kind"), Column("outcomes"))
    return _section("Indications", columns, lines)


def _checks(model: Model) -> list[Block]:
    lines: list[tuple[str, ...]] = [
        (part.name, part.title, matches_in_words(part.work.needs, model), minutes_words(part.work.minutes))
        for part in model.checks.values()
    ]
    columns = (Column("name"), Column("check"), Column("with"), Column("takes", "minutes"))
    return _section("Checks", columns, lines)


def _repairs(model: Model) -> list[Block]:
    lines: list[tuple[str, ...]] = [
        (part.name, part.title, places(part.work.access, model), minutes_words(part.work.minutes))
        for part in model.repairs.values()
    ]
    columns = (Column("name"), Column("repair"), Column("access"), Column("takes", "minutes"))
    return _section("Repairs", columns, lines)


def show_normal(model: Model, situation: str) -> Page:
    """What to expect in a situation with nothing wrong, indication by indication.

    Raises UsageError, with the nearest name, if the model has no such situation.
    """
    if situation not in model.situations:
        near = nearest(situation, model.situations)
        hint = f"; nearest: {near}" if near else f"; expected one of {', '.join(model.situations)}"
        raise UsageError(f"{model.name} has no situation called {situation}{hint}")
    conditions = model.situations[situation].values
    values = normal_values(model, situation)
    lines = tuple(_normal_line(part, values, model) for part in model.indications.values())
    changed = tuple((name, value) for name, value in conditions.items() if value != model.start.get(name))
    blocks: list[Block] = [
        Text("With nothing wrong, nothing remembered from before and nothing misread:"),
        Table((Column("indication"), Column("shows"), Column("note")), lines, "normal indications"),
    ]
    if changed:
        blocks += [Heading("What is not at its start"), KeyValues(changed)]
    title = f"{model.title}, {model.situations[situation].title}: what is normal"
    return Page(title, model.subject, tuple(blocks))


def _normal_line(part: Indication, values: dict[str, str], model: Model) -> tuple[str, ...]:
    outcome = values[part.name]
    figures = f", {span(*part.ranges[outcome])} {part.unit}" if outcome in part.ranges else ""
    silent = silencing_row(part, values, model) is not None
    delay = f"after {number(part.delay)} s" if part.delay and outcome != part.outcomes[0] else ""
    note = "silent here: tells nothing" if silent else delay
    return (part.title, f"{part.outcome_titles.get(outcome, outcome)}{figures}", note)


def show_inhibits(model: Model, light: str | None = None) -> Page:
    """When indications can not speak: each one's table in words, its memory and delay.

    Without ``light``: all that some condition keeps silent, or that remember or wait; the others are only
    named. Raises UsageError, with the nearest name, if there is no such indication.
    """
    if light is not None and light not in model.indications:
        near = nearest(light, model.indications)
        raise UsageError(
            f"{model.name} has no indication called {light}{f'; nearest: {near}' if near else ''}"
        )
    parts = list(model.indications.values()) if light is None else [model.indications[light]]
    normals = normals_of(model)
    silent = {part.name: silent_in(part, model, normals) for part in parts}
    shown = [part for part in parts if light is not None or silent[part.name] or _special(part, model)]
    blocks: list[Block] = [Text("In each table the first row that matches counts.")]
    for part in shown:
        blocks += _inhibits(part, model, silent[part.name])
    plain = [f"{part.title} ({part.name})" for part in parts if part not in shown]
    if plain:
        blocks += [Heading("Silenced in no situation of this model"), Items(tuple(plain))]
    return Page(f"{model.title}: when indications are silent", model.subject, tuple(blocks))


def _special(part: Indication, model: Model) -> bool:
    return bool(part.memory or part.delay or any(is_inhibit(rule, part, model) for rule in part.rules))


def _inhibits(part: Indication, model: Model, silent: Mapping[str, Rule]) -> list[Block]:
    always = [rule.when for rule in part.rules if is_inhibit(rule, part, model)]
    words = [f"Silent with {matches_in_words(always, model)}."] if always else []
    where = [model.situations[name].title for name in silent]
    words += [f"Silent, and telling nothing: {'; '.join(where)}."] if where else []
    kept = tuple(pair for pair in keeps(part) if pair[1] and pair[0] != "misread")
    return [
        Heading(f"{part.title} ({part.name})"),
        Text(" ".join(words) or "No condition keeps it silent."),
        rows(part, model, silent),
        *([KeyValues(kept)] if kept else []),
    ]


def show_pictures(model: Model, name: str | None = None) -> Page:
    """The flow schematic and the causal graph; with ``name`` what is next to it.

    Raises UsageError if the model does not know the name.
    """
    from faultiso.model.causes import causes_of
    from faultiso.report.drawing.causal import draw_causes
    from faultiso.report.drawing.schematic import draw_schematic

    marked = [name] if name is not None and name in model.components else []
    flow = "; ".join(f"{link.source} feeds {link.target} ({link.carries})" for link in model.flow)
    arrows = causes_of(model, name).arrows
    acts = "; ".join(f"{arrow.source} acts on {arrow.target}" for arrow in arrows)
    pictures = (
        Picture("What feeds what", draw_schematic(model, marked), flow),
        Picture("What acts on what", draw_causes(model, name), acts),
    )
    return Page(model.title, model.subject, pictures)
