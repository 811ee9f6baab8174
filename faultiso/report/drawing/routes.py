"""Lines at right angles between the boxes of a grid, each on a track of its own.

Upright pieces run in the channels between columns, level ones on the rows where nothing stands in the way,
or in lanes between rows. Links of one `Net` share their way: what leaves a component with one medium
branches, what leads back to a component joins.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from faultiso.model.parts import Link
from faultiso.report.drawing.grid import Grid

Net = tuple[str, str, str]  # "from" or "to", component, medium
Point = tuple[float, float]
#: Level lines nearer than this count as one on the other.
CLOSE = 4.0


@dataclass(frozen=True)
class Route:
    """One link: its net, the channels it leaves into and arrives from, and how it gets across.

    ``lane`` is None for a link to the next column, else the gap (an index of gaps from the top) or, as
    ("row", number), the row it runs along: on the source's port height or on the target's.
    """

    link: Link
    net: Net
    leave: int
    arrive: int
    lane: int | tuple[str, str] | None = None


@dataclass
class Tracks:
    """Greedy colouring of intervals: pieces of one net share, others that touch get different tracks."""

    taken: list[list[tuple[float, float, Net]]] = field(default_factory=list)

    def place(self, low: float, high: float, net: Net) -> int:
        """The lowest track on which the interval touches no other net."""
        track = 0
        while track < len(self.taken) and self._blocked(track, low, high, net):
            track += 1
        while len(self.taken) <= track:
            self.taken.append([])
        self.taken[track].append((low, high, net))
        return track

    def _blocked(self, track: int, low: float, high: float, net: Net) -> bool:
        return any(low <= b and a <= high and net != other for a, b, other in self.taken[track])


def net_of(link: Link, grid: Grid) -> Net:
    """What shares its way with this link."""
    if (link.source, link.target) in grid.back:
        return ("to", link.target, link.carries)
    return ("from", link.source, link.carries)


def ports(links: Sequence[Link], grid: Grid, spacing: float) -> dict[tuple[str, Net, str], float]:
    """(component, net, "in" or "out") -> distance of the port from the middle of the box."""
    sides: dict[tuple[str, str], list[Net]] = {}
    for link in links:
        net = net_of(link, grid)
        for name, side in ((link.source, "out"), (link.target, "in")):
            nets = sides.setdefault((name, side), [])
            if net not in nets:
                nets.append(net)
    found = {}
    for (name, side), nets in sides.items():
        ordered = sorted(nets, key=lambda net: _far(net, name, links, grid))
        straight = [i for i, net in enumerate(ordered) if _straight(net, name, side, links, grid)]
        middle = straight[0] if straight else (len(nets) - 1) / 2
        for i, net in enumerate(ordered):
            found[name, net, side] = spacing * (i - middle)
    return _apart(found, grid, spacing / 2)


def _apart(
    heights: dict[tuple[str, Net, str], float], grid: Grid, shift: float
) -> dict[tuple[str, Net, str], float]:
    """Where one net leaves a box at the height at which another enters the next box, that one gives way."""
    at = {(cell.row, cell.column): name for name, cell in grid.cells.items()}
    for (name, net, side), height in list(heights.items()):
        cell = grid.cells[name]
        left = at.get((cell.row, cell.column - 1))
        if side == "in" and left is not None:
            others = (h for (n, other, s), h in heights.items() if n == left and s == "out" and other != net)
            if any(abs(height - other) < CLOSE for other in others):
                heights[name, net, side] = height + shift
    return heights


def _straight(net: Net, name: str, side: str, links: Sequence[Link], grid: Grid) -> bool:
    """Whether the net goes on in the same row: such a line is drawn without a bend, at half height."""
    for link in links:
        here, there = (link.source, link.target) if side == "out" else (link.target, link.source)
        if here == name and net_of(link, grid) == net and net[0] == "from":
            a, b = grid.cells[here], grid.cells[there]
            if a.row == b.row and abs(a.column - b.column) == 1:
                return True
    return False


def _far(net: Net, name: str, links: Sequence[Link], grid: Grid) -> tuple[float, Net]:
    """Sort key: mean row of the other ends, so that lines leave a box in the order in which they part."""
    rows = [
        grid.cells[link.target if link.source == name else link.source].row
        for link in links
        if net_of(link, grid) == net and name in (link.source, link.target)
    ]
    back = (net[0] == "to") * 1000.0
    return (sum(rows) / len(rows) + back, net)


def choose(links: Sequence[Link], grid: Grid, heights: Mapping[tuple[str, Net, str], float]) -> list[Route]:
    """A way for every link; short ones first, so that they get the straight ways."""
    boxes = {(cell.row, cell.column) for cell in grid.cells.values()}
    runs: list[tuple[int, float, int, int, Net]] = []
    for link in links:
        runs += _stubs(link, grid, heights)
    routes = []
    for link in sorted(links, key=lambda link: _length(link, grid)):
        routes.append(_route(link, grid, boxes, heights, runs))
    return routes


def _stubs(
    link: Link, grid: Grid, heights: Mapping[tuple[str, Net, str], float]
) -> Iterable[tuple[int, float, int, int, Net]]:
    net = net_of(link, grid)
    source, target = grid.cells[link.source], grid.cells[link.target]
    yield (source.row, heights[link.source, net, "out"], source.column + 1, source.column + 1, net)
    yield (target.row, heights[link.target, net, "in"], target.column, target.column, net)


def _length(link: Link, grid: Grid) -> tuple[int, int]:
    source, target = grid.cells[link.source], grid.cells[link.target]
    return (abs(target.column - source.column - 1), abs(target.row - source.row))


def _route(
    link: Link,
    grid: Grid,
    boxes: set[tuple[int, int]],
    heights: Mapping[tuple[str, Net, str], float],
    runs: list[tuple[int, float, int, int, Net]],
) -> Route:
    net = net_of(link, grid)
    source, target = grid.cells[link.source], grid.cells[link.target]
    leave, arrive = source.column + 1, target.column
    if leave == arrive:
        return Route(link, net, leave, arrive)
    ends = (
        (source.row, heights[link.source, net, "out"], "out"),
        (target.row, heights[link.target, net, "in"], "in"),
    )
    for row, height, side in ends if leave < arrive else ():
        free = all((row, column) not in boxes for column in range(leave, arrive))
        if free and not any(
            row == r and abs(height - h) < CLOSE and leave <= b and a <= arrive and net != other
            for r, h, a, b, other in runs
        ):
            runs.append((row, height, leave, arrive, net))
            return Route(link, net, leave, arrive, ("row", side))
    return Route(link, net, leave, arrive, _gap(source.row, target.row, grid))


def _gap(source: int, target: int, grid: Grid) -> int:
    """The gap beside the row of the source, on the side of the target; below it if both share a row."""
    above = gap_above(source, grid)
    return above if target < source else above + 1


def gap_above(row: int, grid: Grid) -> int:
    """Index of the gap above a row: every band has one gap more than it has rows."""
    band = next(i for i, (_, first, end) in enumerate(grid.bands) if first <= row < end)
    return row + band
