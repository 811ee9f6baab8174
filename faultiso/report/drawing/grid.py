"""Where each component of a schematic stands: zones as bands, rows in a band, columns along the flow."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from statistics import fmean

from faultiso.model.system import Model
from faultiso.report.drawing.layers import columns, split

Pair = tuple[str, str]


@dataclass(frozen=True)
class Cell:
    """Row (counted from the top of the whole drawing) and column of a component."""

    row: int
    column: int


@dataclass(frozen=True)
class Grid:
    """``cells`` by component; ``bands``: (zone, first row, rows after the last) from top to bottom;
    ``back``: links that lead back against the flow; ``apart``: components that no flow reaches."""

    cells: Mapping[str, Cell]
    bands: tuple[tuple[str, int, int], ...]
    back: frozenset[Pair]
    apart: frozenset[str]

    @property
    def width(self) -> int:
        return 1 + max((cell.column for cell in self.cells.values()), default=0)

    @property
    def height(self) -> int:
        return self.bands[-1][2] if self.bands else 0


def lay_out(model: Model) -> Grid:
    """The grid of a model's components and flow."""
    pairs = [(link.source, link.target) for link in model.flow if link.source != link.target]
    flowing = list(dict.fromkeys(name for pair in pairs for name in pair))
    forward, back = split(flowing, pairs)
    column = columns(flowing, forward)
    apart = [name for name in model.components if name not in column]
    cells: dict[str, Cell] = {}
    bands: list[tuple[str, int, int]] = []
    for zone in _zones(model):
        first = bands[-1][2] if bands else 0
        members = [name for name in flowing if model.components[name].zone == zone]
        rows = _rows(members, column, forward)
        loose = [name for name in apart if model.components[name].zone == zone]
        spots = {name: (rows[name], column[name]) for name in members}
        _fill(spots, loose, max(column.values(), default=4) + 1)
        cells |= {name: Cell(first + row, at) for name, (row, at) in spots.items()}
        bands.append((zone, first, first + 1 + max((row for row, _ in spots.values()), default=0)))
    return Grid(cells, tuple(bands), frozenset(back), frozenset(apart))


def _zones(model: Model) -> list[str]:
    """The zones in use: in the order of the file, then those it does not list, then none."""
    used = dict.fromkeys(part.zone for part in model.components.values())
    listed = [zone for zone in model.zones if zone in used]
    return listed + sorted(zone for zone in used if zone and zone not in model.zones) + [""] * ("" in used)


def _rows(members: list[str], column: Mapping[str, int], forward: list[Pair]) -> dict[str, int]:
    """Rows within a band: each beside what feeds it, where that place is free; else the nearest below."""
    inside = set(members)
    before: dict[str, list[str]] = {name: [] for name in members}
    for source, target in forward:
        if source in inside and target in inside:
            before[target].append(source)
    rows: dict[str, int] = {}
    taken: set[tuple[int, int]] = set()
    for at in sorted({column[name] for name in members}):
        here = [name for name in members if column[name] == at]
        wish = {name: _wish([rows[other] for other in before[name]]) for name in here}
        for name in sorted(here, key=lambda name: (wish[name], members.index(name))):
            row = round(wish[name])
            while (row, at) in taken:
                row += 1
            rows[name] = row
            taken.add((row, at))
    return rows


def _wish(rows: list[int]) -> float:
    return fmean(rows) if rows else 0.0


def _fill(spots: dict[str, tuple[int, int]], loose: list[str], width: int) -> None:
    """Components outside the flow stand beside the flow in the lowest row, else in rows below it."""
    last = max((row for row, _ in spots.values()), default=0)
    used = [column for row, column in spots.values() if row == last]
    beside = [c for c in range(width) if not used or c < min(used) or c > max(used)]
    free = [(last, column) for column in beside]
    free += [(last + 1 + i // width, i % width) for i in range(len(loose))]
    spots.update(zip(loose, free, strict=False))
