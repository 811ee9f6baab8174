"""A failure-modes table as a model: each mode a fault, each detection method an indication or a check.

What becomes of each column is said in the comments at the top of the model; what has no key of the language
stands as comments beside its fault, and is counted in what is told.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from faultiso.drafting.naming import FULL_NAME, Names, identifier
from faultiso.drafting.tables.detection import STRENGTH, signs_of
from faultiso.drafting.tables.draft import PHASE, REPLACE, Component, Draft, Fault, Sign
from faultiso.drafting.tables.modes import Mode, Modes

_TITLES = ("system", "system name", "equipment", "title")
_AUTHORS = ("compiled by", "prepared by", "author", "analyst")


@dataclass(frozen=True)
class Made:
    """A model to be written; ``told``: what was added, and what could not be carried over."""

    draft: Draft
    told: tuple[str, ...]


def model_of_modes(table: Modes, name: str) -> Made:
    """The model of a table; ``name``: as its file is called."""
    names = Names((PHASE,))
    phases, of_phases = _phases(table.modes)
    components, named = _components(table, names)
    signs, of_signs = signs_of(named, {title.casefold(): key for key, title in phases}, names)
    head, rest = _block(table.before)
    told = (*table.notes, *of_phases, *of_signs, *_needing(signs), *_not_carried(table.modes), *rest)
    draft = Draft(
        name=identifier(name, "model", "-"),
        title=head.get("title", name),
        preface=tuple(_preface(Path(table.file).name)),
        components=components,
        signs=signs,
        phases=phases,
        author=head.get("author", ""),
        ending=("Added, or not carried over:", *(f"- {sentence}" for sentence in told)) if told else (),
    )
    return Made(draft, told)


def _preface(file: str) -> Iterator[str]:
    yield f"Written from the failure-modes table {file}. A draft: read every line of it."
    yield "rate = failure mode ratio times failure rate, an hour. Effects stand in about, and as levels."
    yield (
        "A detection method that names a test, an inspection or a measurement is a check, one that names a "
        "light, gauge, message, sound, button or trace is an indication, anything else a check. A kind in "
        "brackets after it says otherwise: (light), (gauge), (sound), (check) and so on."
    )
    yield (
        f"Strengths of {STRENGTH:g} and all minutes are invented; each sign answers by itself. Two signs of "
        "the same thing want one quantity, conditions that silence a sign want rules: write these by hand."
    )


def _needing(signs: Iterable[Sign]) -> Iterator[str]:
    """Checks that show nothing but in some phases."""
    found = [sign.title for sign in signs if not sign.kind and sign.phases]
    if found:
        yield f"made only in the phases in which they show a fault: {'; '.join(found)}"


def _phases(modes: tuple[Mode, ...]) -> tuple[tuple[tuple[str, str], ...], tuple[str, ...]]:
    """Names and titles of the phases, if there are two at least that make a difference."""
    titles = {phase.casefold(): phase for mode in modes for phase in mode.phases}
    if len(titles) == 1:
        return (), (
            f'all rows that name a phase name "{next(iter(titles.values()))}": no condition was made',
        )
    names = Names()
    return tuple((names.of(title, "phase"), title) for title in titles.values()), ()


def _components(table: Modes, names: Names) -> tuple[tuple[Component, ...], list[tuple[Mode, str]]]:
    """The components with their faults, and each mode with the full name of its fault."""
    items: dict[str, list[Mode]] = {}
    for mode in table.modes:
        items.setdefault(mode.item.casefold(), []).append(mode)
    components: list[Component] = []
    named: list[tuple[Mode, str]] = []
    for modes in items.values():
        given = FULL_NAME.fullmatch(modes[0].name)
        name = names.given(given[1], REPLACE) if given else names.of(modes[0].item, "item", REPLACE)
        own = Names()
        faults = [_fault(mode, own, Path(table.file).name) for mode in modes]
        about = " ".join(dict.fromkeys(mode.function for mode in modes if mode.function))
        components.append(Component(name, modes[0].item, about, tuple(faults)))
        named += [(mode, f"{name}.{fault.name}") for mode, fault in zip(modes, faults, strict=True)]
    return tuple(components), named


def _fault(mode: Mode, names: Names, file: str) -> Fault:
    given = FULL_NAME.fullmatch(mode.name)
    effects = zip(("local", "next higher level", "end"), mode.effects, strict=True)
    said = "; ".join(f"{where}: {effect}" for where, effect in effects if effect)
    about = [f"Cause: {mode.cause}." if mode.cause else "", f"Effects: {said}." if said else ""]
    return Fault(
        name=names.given(given[2]) if given else names.of(mode.title, "mode"),
        title=mode.title,
        rate=mode.rate,
        source=mode.source or f"{file}, line {mode.line}",
        about=" ".join(filter(None, about)),
        severity=mode.severity,
        also=(mode.number,) if mode.number else (),
        remarks=tuple(f"{head}: {text}" for head, text in mode.kept.items()),
    )


def _block(before: tuple[tuple[str, ...], ...]) -> tuple[dict[str, str], tuple[str, ...]]:
    """Title and author from the block above the heads, and a sentence on all the rest of it."""
    found: dict[str, str] = {}
    rest: list[str] = []
    for cells in before:
        pieces = [piece.strip() for cell in cells for piece in cell.partition(":")[::2] if piece.strip()]
        for place, piece in enumerate(pieces[:-1]):
            wanted = (
                "title" if piece.casefold() in _TITLES else "author" if piece.casefold() in _AUTHORS else ""
            )
            if wanted and wanted not in found:
                found[wanted] = pieces[place + 1]
                del pieces[place : place + 2]
                break
        if pieces:
            rest.append(f"above the heads: {', '.join(pieces)}")
    return found, tuple(rest)


def _not_carried(modes: tuple[Mode, ...]) -> Iterator[str]:
    """Columns that have no key of the language."""
    counts = Counter(head for mode in modes for head in mode.kept)
    for head, count in counts.items():
        lines = ", ".join(str(mode.line) for mode in modes if head in mode.kept)
        places = f"line {lines}" if count <= 8 else f"{count} lines"
        yield f"{head}: no key of the language; stands as a comment ({places})"
