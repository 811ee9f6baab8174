"""A model before it is written: parts with names, and the YAML of it, commented and good to edit.

A ``Sign`` is an indication, or a check if it has no kind. What it shows stands in a quantity of its own, on
which the faults act; of several faults the one with the later level wins.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from faultiso.base.notice import Subject, full_notice
from faultiso.base.text import one_line, wrap
from faultiso.casebook.making.written import WIDTH, flow, line
from faultiso.model.parts import SeverityClass

HOURS = 500.0  # at risk
PHASE = "phase"  # the name of the condition that phases become
STATE, REPLACE = "{}_state", "replace_{}"  # names that are made of those of signs and of components


@dataclass(frozen=True)
class Fault:
    """``name`` is without the component. ``remarks`` stand as comments above it."""

    name: str
    title: str
    rate: float
    source: str
    about: str = ""
    severity: SeverityClass | str = ""
    also: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True)
class Component:
    name: str
    title: str
    about: str = ""
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True)
class Effect:
    """A fault, by its full name, makes a sign show a level, in some phases (none named: in all)."""

    fault: str
    level: str
    chance: float
    phases: tuple[str, ...] = ()


@dataclass(frozen=True)
class Sign:
    """``levels``: the usual one first; ``remark``: a comment beside its head."""

    name: str
    title: str
    kind: str
    levels: tuple[str, ...]
    effects: tuple[Effect, ...]
    minutes: float = 0.0
    remark: str = ""

    @property
    def phases(self) -> tuple[str, ...]:
        """Where it shows anything, if that is in some phases only."""
        if not all(effect.phases for effect in self.effects):
            return ()
        return tuple(dict.fromkeys(phase for effect in self.effects for phase in effect.phases))


_INVENTED = "  # all minutes are invented"


@dataclass(frozen=True)
class Draft:
    """``preface`` and ``ending``: comments at top and end, a paragraph each. ``phases``: name and title.
    ``timed``: the minutes of the checks are those of a table, not invented."""

    name: str
    title: str
    preface: tuple[str, ...]
    components: tuple[Component, ...]
    signs: tuple[Sign, ...]
    phases: tuple[tuple[str, str], ...] = ()
    subject: Subject = "training_rig"
    author: str = ""
    one_fault: bool = False
    timed: bool = False
    ending: tuple[str, ...] = ()


def draft_text(draft: Draft, schema: str) -> str:
    """The text of the model file; ``schema``: the file of the JSON Schema beside it."""
    checks = [sign for sign in draft.signs if not sign.kind]
    indications = [sign for sign in draft.signs if sign.kind]
    proofs = _proofs(checks)
    usual = "what the signs show, before anybody misreads it; the usual first, the worst last"
    sections = (
        _section("components:", map(_component, draft.components)),
        _section(f"quantities:  # {usual}", map(_quantity, draft.signs)),
        _section("indications:", map(_indication, indications)),
        _section(f"checks:{'' if draft.timed else _INVENTED}", map(_check, checks)),
        _section(f"repairs:{_INVENTED}", (_repair(part, proofs) for part in draft.components)),
        _section("", map(_comment, draft.ending)),
    )
    head = [f"# yaml-language-server: $schema={schema}", *_comment(full_notice(draft.subject))]
    preface = [row for paragraph in draft.preface for row in _comment(paragraph)]
    body = [row for section in sections for row in section]
    return "\n".join([*head, *preface, *_top(draft), *_phases(draft.phases), *body]) + "\n"


def _section(head: str, parts: Iterable[Iterable[str]]) -> Iterator[str]:
    """A section after an empty line; nothing where it has no parts."""
    rows = [row for part in parts for row in part]
    if rows:
        yield from ("", *([head] if head else ()), *rows)


def _comment(paragraph: str, indent: str = "") -> list[str]:
    return wrap(one_line(paragraph, 4000), WIDTH, f"{indent}# ", f"{indent}# ")


def _top(draft: Draft) -> Iterator[str]:
    yield f"model: {draft.name}"
    yield f"title: {line(draft.title)}"
    yield f"subject: {draft.subject}"
    yield f"author: {line(draft.author)}" if draft.author else "# author: who wrote it"
    yield "# reviewer: another person, before state: reviewed"
    yield "state: draft"
    yield 'version: "0.1"'
    if draft.one_fault:
        yield "assume: one fault"
    yield f"flight_hours_at_risk: {number(HOURS)}  # hours since it was last known to be good; invented"


def _phases(phases: tuple[tuple[str, str], ...]) -> Iterator[str]:
    if not phases:
        return
    yield from ("", "conditions:", f"  {PHASE}:", "    title: phase or mode")
    yield f"    values: [{', '.join(name for name, _ in phases)}]"
    yield f"    value_titles: {flow(dict(phases))}"
    yield "situations:"
    yield f"  {phases[0][0]}: {{title: {flow(phases[0][1])}}}"
    for name, title in phases[1:]:
        yield f"  {name}: {{title: {flow(title)}, set: {{{PHASE}: {name}}}}}"


def _component(component: Component) -> Iterator[str]:
    yield f"  {component.name}:"
    yield f"    title: {line(component.title)}"
    if component.about:
        yield f"    about: {line(component.about)}"
    yield "    replaceable: yes"
    yield "    faults:"
    for fault in component.faults:
        for remark in fault.remarks:
            yield from _comment(remark, "      ")
        yield from _fault(fault)


def _fault(fault: Fault) -> Iterator[str]:
    yield f"      {fault.name}:"
    yield f"        title: {line(fault.title)}"
    if fault.about:
        yield f"        about: {line(fault.about)}"
    if fault.also:
        yield f"        also: {flow(fault.also)}"
    yield f"        rate: {number(fault.rate)}"
    yield f"        source: {line(fault.source)}"
    if fault.severity:
        yield f"        severity: {fault.severity}"


def _quantity(sign: Sign) -> Iterator[str]:
    yield f"  {STATE.format(sign.name)}:"
    yield f"    title: {line(f'{sign.title}, as it is')}"
    yield f"    levels: {_levels(sign.levels)}"
    yield "    causes:"
    for effect in sign.effects:
        gives = f"{{{_level(effect.level)}: {number(effect.chance)}}}"
        when = f"when: {{{PHASE}: [{', '.join(effect.phases)}]}}, " if effect.phases else ""
        yield f"      - {{fault: {effect.fault}, {when}gives: {gives}}}"


def _indication(sign: Sign) -> Iterator[str]:
    yield f"  {sign.name}:"
    yield f"    title: {line(sign.title)}"
    yield f"    kind: {sign.kind}"
    yield f"    reads: {STATE.format(sign.name)}"


def _check(sign: Sign) -> Iterator[str]:
    yield f"  {sign.name}:{f'  # {one_line(sign.remark)}' if sign.remark else ''}"
    yield f"    title: {line(sign.title)}"
    yield f"    reads: {STATE.format(sign.name)}"
    yield f"    minutes: {number(sign.minutes)}"
    if sign.phases:
        yield f"    needs: {{{PHASE}: [{', '.join(sign.phases)}]}}"


def _proofs(checks: Iterable[Sign]) -> dict[str, list[str]]:
    """The checks that show a fault of a component, by its name."""
    found: dict[str, dict[str, None]] = {}
    for check in checks:
        for effect in check.effects:
            found.setdefault(effect.fault.partition(".")[0], {})[check.name] = None
    return {component: list(names) for component, names in found.items()}


def _repair(component: Component, known: Mapping[str, list[str]]) -> Iterator[str]:
    proofs = known.get(component.name, [])
    yield f"  {REPLACE.format(component.name)}:"
    yield f"    title: {line(f'replace the {component.title}')}"
    yield f"    clears: {component.name}"
    yield "    minutes: 60"
    yield f"    verify: {{minutes: 10{f', checks: {flow(proofs)}' if proofs else ''}}}"


def _levels(levels: tuple[str, ...]) -> str:
    return f"[{', '.join(map(_level, levels))}]"


def _level(level: str) -> str:
    return flow(level)


def number(value: float) -> str:
    """The shortest text that reads back as this very number."""
    return f"{int(value)}" if value == int(value) and abs(value) < 1e15 else repr(value)
