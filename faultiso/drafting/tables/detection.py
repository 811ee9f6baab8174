"""Which detection method is an indication and which a check, and what it shows.

A method that ends in the name of a kind in brackets, "rush at the relief valve (sound)", or in "(check)", is
that. Else one that names a test, an inspection, a measurement or the like is a check; else one that names a
light, gauge, message, sound, button or trace is an indication of that kind. Anything else is a check.
"METHOD: WHAT IT SHOWS" says what it shows, and so does a light that "goes out" or "is not lit". Where that is
not said, a light is lit and a message shown, a gauge shows the effect on the next higher level, a check the
local effect; where no effect is said, the mode.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from faultiso.base.text import clean
from faultiso.drafting.naming import Names
from faultiso.drafting.start import KINDS, kind_of
from faultiso.drafting.tables.draft import STATE, Effect, Sign
from faultiso.drafting.tables.modes import Mode
from faultiso.model.parts import SEVERITIES

STRENGTH = 0.9  # chance that a fault shows; invented, and said so in the model
MINUTES = 10.0
FOUND_BY_HAND = 60.0  # minutes of an inspection that was added because nothing detects a mode
_CHECKS = {
    "test", "tests", "tested", "check", "checks", "checked", "inspect", "inspection", "inspected", "measure",
    "measured", "measurement", "sample", "samples", "analysis", "look", "walk", "bench", "bit", "examination",
    "examine", "borescope", "swap",
}  # fmt: skip
_SAYS_KIND = re.compile(rf"(.*\S) *\(({'|'.join((*KINDS, 'check'))})\)", re.IGNORECASE)
_DARK = "(?:(?:goes|going|stays|is|remains) +)?(?:out|off|dark|not lit|extinguished)"
_LIGHT_OUT = re.compile(rf"(.*\b(?:light|lamp|led|lantern)),? +{_DARK}", re.IGNORECASE)
_LONGEST_LEVEL = 60
_USUAL = ("as usual", "usual", "nothing unusual", "as it should be")
Named = Sequence[tuple[Mode, str]]  # each mode with the full name of its fault


def signs_of(named: Named, phases: dict[str, str], names: Names) -> tuple[tuple[Sign, ...], tuple[str, ...]]:
    """The signs of a table, and sentences on what was added or could not be carried over.

    ``phases``: title of a phase, case folded -> its name; empty if phases are no condition.
    """
    told: list[str] = []
    methods: dict[str, list[tuple[Mode, str, str]]] = {}
    titles: dict[str, str] = {}
    for mode, fault in named:
        for said, means in mode.methods:
            title, shows = _light_out(said, means)
            titles.setdefault(title.casefold(), title)
            methods.setdefault(title.casefold(), []).append((mode, fault, shows))
    signs = [_sign(titles[key], rows, phases, names) for key, rows in methods.items()]
    hidden = [(mode, fault) for mode, fault in named if not mode.methods]
    return (*signs, *_inspections(hidden, names, told)), tuple(told)


def _light_out(method: str, shows: str) -> tuple[str, str]:
    """The method and what it shows, of a light that goes out."""
    found = None if shows else _LIGHT_OUT.fullmatch(method)
    return (found[1], KINDS["light"][1]) if found else (method, shows)


def kind_of_method(method: str) -> tuple[str, str]:
    """The title of a method without what says its kind, and the kind of an indication, "" for a check."""
    said = _SAYS_KIND.fullmatch(method)
    if said:
        kind = said[2].casefold()
        return said[1], "" if kind == "check" else kind
    words = set(re.split(r"\W+", method.casefold()))
    return method, "" if words & _CHECKS else kind_of(method)


def _sign(method: str, rows: Sequence[tuple[Mode, str, str]], phases: dict[str, str], names: Names) -> Sign:
    title, kind = kind_of_method(method)
    other = KINDS[kind][2] if kind not in ("", "gauge") else ""
    found: list[tuple[Effect, Mode]] = []
    spelt: dict[str, str] = {}
    for mode, fault, shows in rows:
        level = _level(shows) or other or _effect(mode, kind)
        level = spelt.setdefault(level.casefold(), level)
        when = tuple(phases[phase.casefold()] for phase in mode.phases) if phases else ()
        found.append((Effect(fault, level, STRENGTH, when), mode))
    # a light that some fault keeps out is not out as usual; if nothing lights it, it is lit as usual
    known = (KINDS[kind][1], other) if kind else ()
    usual = next(word for word in (*known, *_USUAL) if word and word not in spelt)
    effects = tuple(effect for effect, _ in found)
    return Sign(_name(title, names), title, kind, (usual, *_by_severity(found)), effects, MINUTES)


def _name(title: str, names: Names) -> str:
    return names.of(title, "sign", STATE)


def _effect(mode: Mode, kind: str) -> str:
    local, following, end = map(_level, mode.effects)
    return (following or end or local if kind else local or following or end) or _level(mode.title)


def _level(text: str) -> str:
    """The text as a level: short, in one line, without the signs that observations are written with."""
    plain = " ".join(re.sub("[=@]", " ", clean(text)).split())
    if len(plain) <= _LONGEST_LEVEL:
        return plain
    return f"{plain[: _LONGEST_LEVEL - 3].rpartition(' ')[0] or plain[: _LONGEST_LEVEL - 3]}..."


def _by_severity(found: Iterable[tuple[Effect, Mode]]) -> Iterator[str]:
    """The levels, each once, the one of the worst severity class last."""
    order = list(SEVERITIES.values())[::-1]
    worst: dict[str, int] = {}
    for effect, mode in found:
        rank = order.index(mode.severity) if mode.severity in order else -1
        worst[effect.level] = max(rank, worst.get(effect.level, -1))
    yield from sorted(worst, key=lambda level: worst[level])


def _inspections(hidden: Named, names: Names, told: list[str]) -> Iterator[Sign]:
    """One inspection for each item with modes that nothing detects: else nobody could ever find them."""
    items: dict[str, list[tuple[Mode, str]]] = {}
    for mode, fault in hidden:
        items.setdefault(mode.item.casefold(), []).append((mode, fault))
    for rows in items.values():
        title = f"inspect the {rows[0][0].item}"
        shown = dict.fromkeys(_level(mode.title) for mode, _ in rows)
        levels = (next(word for word in _USUAL if word not in shown), *shown)
        effects = tuple(Effect(fault, _level(mode.title), STRENGTH) for mode, fault in rows)
        lines = ", ".join(str(mode.line) for mode, _ in rows)
        told.append(f'nothing detects what stands in line {lines}: the check "{title}" was added, 60 min')
        yield Sign(
            _name(title, names), title, "", levels, effects, FOUND_BY_HAND, "added: the table names no method"
        )
