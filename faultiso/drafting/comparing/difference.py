"""What changed from one model to another: parts that came, went or are renamed, figures, and all else."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from faultiso.base.problems import Where
from faultiso.drafting.comparing.leaves import ORDER, Leaf, leaves
from faultiso.model.parts import NOWHERE
from faultiso.model.system import Model

SECTIONS = (
    "conditions", "situations", "zones", "access", "equipment", "people", "cautions", "components", "faults",
    "quantities", "indications", "checks", "repairs", "deferrals",
)  # fmt: skip
_TOP = ("name", "title", "subject", "about", "one_fault", "flight_hours_at_risk", "refer_minutes")
_SAME = 1e-12  # relative


@dataclass(frozen=True)
class Moved:
    """A part that is in one model only, or has another name; ``where``: in the newer model if it is there."""

    section: str
    name: str
    new_name: str = ""
    where: Where = NOWHERE


@dataclass(frozen=True)
class Figure:
    """A number that changed; None where it was or is not there. ``name`` is that in the newer model."""

    section: str
    name: str
    what: str
    old: float | None
    new: float | None
    where: Where = NOWHERE

    @property
    def ratio(self) -> float | None:
        return self.new / self.old if self.old and self.new is not None else None


@dataclass(frozen=True)
class Said:
    """Anything else that a part says otherwise; "" where it was or is not said."""

    section: str
    name: str
    what: str
    old: str
    new: str
    where: Where = NOWHERE


@dataclass(frozen=True)
class Difference:
    """All of it, each in the order of the newer model."""

    added: tuple[Moved, ...]
    removed: tuple[Moved, ...]
    renamed: tuple[Moved, ...]
    figures: tuple[Figure, ...]
    said: tuple[Said, ...]

    @property
    def nothing(self) -> bool:
        return not (self.added or self.removed or self.renamed or self.figures or self.said)

    @property
    def names(self) -> dict[str, str]:
        """The new names of parts, by the old."""
        return {part.name: part.new_name for part in self.renamed}


def difference(old: Model, new: Model) -> Difference:
    """What changed from the old model to the new one."""
    renamed = _renamed(old, new)
    names = {part.name: part.new_name for part in renamed}
    added, removed = [], []
    figures: list[Figure] = []
    said: list[Said] = []
    _compare("model", "", _top(old, names), _top(new, {}), Where(new.file), figures, said)
    for section in SECTIONS:
        before, after = _section(old, section), _section(new, section)
        matched = {names.get(name, name): part for name, part in before.items()}
        added += [Moved(section, name, "", part.where) for name, part in after.items() if name not in matched]
        gone = [(name, part) for name, part in before.items() if names.get(name, name) not in after]
        removed += [Moved(section, name, "", part.where) for name, part in gone]
        for name, part in after.items():
            if name in matched:
                pair = leaves(matched[name], names), leaves(part)
                _compare(section, name, *pair, part.where, figures, said)
    return Difference(tuple(added), tuple(removed), tuple(renamed), tuple(figures), tuple(said))


def _section(model: Model, section: str) -> Mapping[str, Any]:
    found: Mapping[str, Any] = getattr(model, section)
    return found


def _top(model: Model, names: Mapping[str, str]) -> dict[str, Leaf]:
    """What the top of the file says, and what feeds what."""
    found: dict[str, Leaf] = {}
    for name in _TOP:
        value = getattr(model, name)
        found[name.replace("_", " ")] = (
            float(value) if isinstance(value, int | float) and not isinstance(value, bool) else str(value)
        )
    for link in model.flow:
        source, target = (names.get(end, end) for end in (link.source, link.target))
        found[f"flow {source} to {target}"] = link.carries
    return found


def _renamed(old: Model, new: Model) -> list[Moved]:
    """Parts with another name and the same title, or that say all the same; components before faults."""
    found: list[Moved] = []
    names: dict[str, str] = {}
    for section in SECTIONS:
        before, after = _section(old, section), _section(new, section)
        free = {name: part for name, part in after.items() if name not in before}
        for name, part in before.items():
            if name in after:
                continue
            match = next((other for other in free if _same(part, free[other], names)), "")
            if match:
                found.append(Moved(section, name, match, free.pop(match).where))
                names[name] = match
    return found


def _same(part: Any, other: Any, names: Mapping[str, str]) -> bool:
    unit = getattr(part, "component", "") if "." in part.name else ""
    if unit and names.get(unit, unit) != other.component:
        return False
    return bool(part.title.casefold() == other.title.casefold() or leaves(part, names) == leaves(other))


def _compare(
    section: str, name: str, old: Mapping[str, Leaf], new: Mapping[str, Leaf], where: Where,
    figures: list[Figure], said: list[Said],
) -> None:  # fmt: skip
    for what in dict.fromkeys((*new, *old)):
        before, after = old.get(what), new.get(what)
        if before == after or (what == ORDER and not _same_rows(before, after)):
            continue
        if isinstance(before, str) or isinstance(after, str):
            said.append(Said(section, name, what, _text(before), _text(after), where))
        elif before is None or after is None or abs(after - before) > _SAME * max(abs(before), abs(after)):
            figures.append(Figure(section, name, what, before, after, where))


def _same_rows(before: Leaf | None, after: Leaf | None) -> bool:
    """Whether the same rows stand in another order; rows that came and went are told by themselves."""
    return sorted(_text(before).split("; ")) == sorted(_text(after).split("; "))


def _text(leaf: Leaf | None) -> str:
    return "" if leaf is None else f"{leaf:g}" if isinstance(leaf, float) else leaf
