"""The failure-modes table of a model: a row for each fault, with the heads that importing reads.

What detects a fault is worked out exactly: in every situation, each sign that most likely shows something
else with that fault alone than it does with none.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np

from faultiso.belief.diagnoses import Listed
from faultiso.belief.reasoner import Reasoner
from faultiso.drafting.tables.worksheet import COLUMNS
from faultiso.model.parts import SEVERITIES, Component, Fault
from faultiso.model.system import Model

_WRITTEN = ("id", "item", "function", "mode", "phase", "local", "detection", "severity", "remarks", "source",
            "alpha", "rate", "name")  # fmt: skip
_TITLES = {column.name: column.titles[0] for column in COLUMNS}
#: the unit of the rates stands in their head
HEADS = tuple(f"{_TITLES[name]}, per hour" if name == "rate" else _TITLES[name] for name in _WRITTEN)
_NUMBERS: Mapping[str, str] = {word: number for number, word in SEVERITIES.items()}
Row = tuple[str | float, ...]


@dataclass
class _Shown:
    """Where a fault shows: titles of situations, and "SIGN: OUTCOME", each once and in order."""

    situations: dict[str, None] = field(default_factory=dict)
    methods: dict[str, None] = field(default_factory=dict)


def fmea_rows(model: Model, tell: Callable[[int, int], None] = lambda done, of: None) -> list[Row]:
    """The rows of the table, cells in the order of `HEADS`. ``tell``: situations done, of all."""
    shown = _shown(model, tell)
    situations = max(1, len(model.situations))
    return [
        _row(model, component, fault, f"{number}.{place}", shown[fault.name], situations)
        for number, component in enumerate(model.components.values(), 1)
        for place, fault in enumerate(component.faults, 1)
    ]


def _row(
    model: Model, component: Component, fault: Fault, number: str, shown: _Shown, situations: int
) -> Row:
    total = sum(other.rate for other in component.faults)
    cells: Mapping[str, str | float] = {
        "id": number,
        "item": component.title,
        "function": component.about,
        "mode": fault.title,
        "phase": "all" if len(shown.situations) == situations else "; ".join(shown.situations) or "none",
        "local": "; ".join(dict.fromkeys(_local(model, fault.name))),
        "detection": "; ".join(shown.methods) or "none",
        "severity": _NUMBERS.get(fault.severity, ""),
        "remarks": " ".join(_remarks(model, fault)),
        "source": fault.source,
        "alpha": fault.rate / total if total else 1.0 / len(component.faults),
        "rate": total,
        "name": fault.name,
    }
    return tuple(cells[name] for name in _WRITTEN)


def _shown(model: Model, tell: Callable[[int, int], None]) -> dict[str, _Shown]:
    names = tuple(model.faults)
    found = {name: _Shown() for name in names}
    sets = (frozenset[str](), *(frozenset((name,)) for name in names))
    listed, reasoner = Listed(sets, np.full(len(sets), 1.0 / len(sets))), Reasoner(model)
    situations = dict.fromkeys(model.situations) or {"": None}
    for done, situation in enumerate(situations, 1):
        seen = reasoner.believe(situation=situation).open_to(listed)
        title = _plain(model.situations[situation].title) if situation else ""
        for name, sign in seen.items():
            likely = sign.given.argmax(axis=1)
            for fault, outcome in zip(names, likely[1:].tolist(), strict=True):
                if outcome != likely[0]:
                    found[fault].situations[title] = None
                    found[fault].methods[f"{_sign_title(model, name)}: {_plain(sign.outcomes[outcome])}"] = (
                        None
                    )
        tell(done, len(situations))
    return found


def _sign_title(model: Model, name: str) -> str:
    sign = model.indications.get(name) or model.checks[name]
    return _plain(sign.title)


def _plain(text: str) -> str:
    """Without the signs that part what a cell lists."""
    return text.replace(";", ",").replace(":", ",").replace("/", " or ")


def _local(model: Model, fault: str) -> Iterator[str]:
    """What the fault itself brings about: levels of quantities, by causes and by rows of tables."""
    for quantity in model.quantities.values():
        levels = [
            level
            for cause in quantity.causes
            if cause.source == fault
            for response in cause.responses
            for chances in response.gives.values()
            for level in chances
        ]
        levels += [rule.then for rule in quantity.rules if rule.then and fault in rule.when]
        for level in levels:
            yield f"{_plain(quantity.title)} {_plain(level)}"


def _remarks(model: Model, fault: Fault) -> Iterator[str]:
    """What the table has no column for."""
    if fault.about:
        yield fault.about
    if fault.intermittent:
        yield "Comes and goes."
    for source, chance in fault.caused_by.items():
        other = model.faults[source]
        yield f"Caused by {model.components[other.component].title}: {other.title} ({chance:g})."
