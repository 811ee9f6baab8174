"""From a grid and its routes to points on paper: room for lanes and tracks first, then the lines."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from faultiso.model.parts import Link
from faultiso.report.drawing.grid import Grid
from faultiso.report.drawing.routes import Net, Point, Route, Tracks, choose, gap_above, ports

BOX = 116.0
GUTTER = 104.0
MARGIN = 20.0
STEP = 10.0
_CHANNEL = 30.0
_GAP = 16.0


@dataclass(frozen=True)
class Plan:
    """``left`` and ``middle``: x of the left edge and y of the middle of each component's box; ``bands``:
    (zone, top, bottom); ``lines``: the pieces of each net; ``ends``: where arrows point, with their net."""

    width: float
    height: float
    left: Mapping[str, float]
    middle: Mapping[str, float]
    bands: tuple[tuple[str, float, float], ...]
    lines: Mapping[Net, tuple[tuple[Point, Point], ...]]
    ends: tuple[tuple[Point, Net], ...]


def plan(links: Sequence[Link], grid: Grid, row_heights: Sequence[float], top: float) -> Plan:
    """Places and lines. ``row_heights``: of the tallest box in each row of the grid."""
    heights = ports(links, grid, STEP)
    routes = choose(links, grid, heights)
    lanes, counts = _lanes(routes, grid)
    gap_tops, row_tops, bottom = _levels(grid, row_heights, counts, top)
    middle = {name: row_tops[c.row] + row_heights[c.row] / 2 for name, c in grid.cells.items()}
    paths = [_Path(route, middle, heights, _lane_y(route, lanes, gap_tops)) for route in routes]
    tracks, widths = _tracks(paths, grid)
    channel_x, column_x, right = _across(grid, widths)
    lines: dict[Net, set[tuple[Point, Point]]] = {}
    ends: dict[tuple[Point, Net], None] = {}
    for path in paths:
        net = path.route.net
        points = path.points(column_x, lambda channel, net: channel_x[channel] + STEP * tracks[channel, net])
        lines.setdefault(net, set()).update(_pieces(points))
        ends[points[-1], net] = None
    return Plan(
        width=right + MARGIN,
        height=bottom,
        left={name: column_x[c.column] for name, c in grid.cells.items()},
        middle=middle,
        bands=tuple(
            (z, gap_tops[gap_above(a, grid)], _band_end(b, grid, row_tops, gap_tops, bottom))
            for z, a, b in grid.bands
        ),
        lines={net: merged(pieces) for net, pieces in lines.items()},
        ends=tuple(ends),
    )


def _band_end(
    end: int, grid: Grid, row_tops: Sequence[float], gap_tops: Sequence[float], bottom: float
) -> float:
    return gap_tops[gap_above(end, grid)] if end < len(row_tops) else bottom


def _lanes(
    routes: Sequence[Route], grid: Grid
) -> tuple[dict[tuple[int, Net, int, int], int], dict[int, int]]:
    """Lane of each route that runs in a gap, and how many lanes each gap needs."""
    gaps: dict[int, Tracks] = {}
    lanes = {}
    for route in routes:
        if isinstance(route.lane, int):
            low, high = sorted((route.leave, route.arrive))
            lane = gaps.setdefault(route.lane, Tracks()).place(low, high, route.net)
            lanes[route.lane, route.net, route.leave, route.arrive] = lane
    return lanes, {gap: len(tracks.taken) for gap, tracks in gaps.items()}


def _levels(
    grid: Grid, row_heights: Sequence[float], counts: Mapping[int, int], top: float
) -> tuple[list[float], list[float], float]:
    """y of the top of every gap and of every row, and of the foot of the last band."""
    gap_tops: list[float] = []
    row_tops: list[float] = []
    y = top
    for _, first, end in grid.bands:
        for row in range(first, end):
            gap_tops.append(y)
            y += _GAP + STEP * counts.get(len(gap_tops) - 1, 0)
            row_tops.append(y)
            y += row_heights[row]
        gap_tops.append(y)
        y += _GAP + STEP * counts.get(len(gap_tops) - 1, 0)
    return gap_tops, row_tops, y


def _lane_y(
    route: Route, lanes: Mapping[tuple[int, Net, int, int], int], gap_tops: Sequence[float]
) -> float | None:
    if not isinstance(route.lane, int):
        return None
    lane = lanes[route.lane, route.net, route.leave, route.arrive]
    return gap_tops[route.lane] + _GAP / 2 + STEP * (lane + 0.5)


class _Path:
    """One route with its heights: upright pieces (channel, from y, to y), then the points in full."""

    def __init__(
        self,
        route: Route,
        middle: Mapping[str, float],
        heights: Mapping[tuple[str, Net, str], float],
        lane: float | None,
    ) -> None:
        self.route = route
        self.start = middle[route.link.source] + heights[route.link.source, route.net, "out"]
        self.end = middle[route.link.target] + heights[route.link.target, route.net, "in"]
        across = {"out": self.start, "in": self.end}
        self.level = (
            lane if lane is not None else across[route.lane[1]] if isinstance(route.lane, tuple) else None
        )

    def upright(self) -> list[tuple[int, float, float]]:
        """Upright pieces; those without length are still listed, for the stub that ends in them."""
        if self.level is None:
            return [(self.route.leave, self.start, self.end)]
        return [(self.route.leave, self.start, self.level), (self.route.arrive, self.level, self.end)]

    def points(self, column_x: Sequence[float], x_of: Callable[[int, Net], float]) -> list[Point]:
        """From the box of the source to that of the target."""
        net = self.route.net
        first = (column_x[self.route.leave - 1] + BOX, self.start)
        last = (column_x[self.route.arrive], self.end)
        points = [first]
        for channel, low, high in self.upright():
            points += [(x_of(channel, net), low), (x_of(channel, net), high)]
        return [*points, last]


def _tracks(paths: Sequence[_Path], grid: Grid) -> tuple[dict[tuple[int, Net], int], list[int]]:
    """Track of every net in every channel that it is upright in, and how many each channel needs."""
    channels: dict[int, dict[Net, list[float]]] = {}
    for path in paths:
        for channel, low, high in path.upright():
            channels.setdefault(channel, {}).setdefault(path.route.net, []).extend((low, high))
    tracks: dict[tuple[int, Net], int] = {}
    widths = [0] * (grid.width + 1)
    for channel, spans in channels.items():
        colouring = Tracks()
        for net in sorted(spans, key=lambda net: (max(spans[net]) - min(spans[net]), net)):
            tracks[channel, net] = colouring.place(min(spans[net]) - 4, max(spans[net]) + 4, net)
        widths[channel] = len(colouring.taken)
    return tracks, widths


def _across(grid: Grid, widths: Sequence[int]) -> tuple[list[float], list[float], float]:
    """x of the first track of each channel, of each column, and of the right end."""
    channel_x, column_x = [], []
    x = MARGIN + GUTTER
    for channel, count in enumerate(widths):
        room = (_CHANNEL + STEP * max(0, count - 1)) if count else _CHANNEL / 2
        channel_x.append(x + 10)
        x += room
        if channel < grid.width:
            column_x.append(x)
            x += BOX
    return channel_x, column_x, x


def _pieces(points: Sequence[Point]) -> list[tuple[Point, Point]]:
    """The level and upright pieces of a path, each from its smaller to its larger end."""
    return [(min(a, b), max(a, b)) for a, b in pairwise(points) if a != b]


def merged(pieces: set[tuple[Point, Point]]) -> tuple[tuple[Point, Point], ...]:
    """Pieces on one line that touch become one, so that dashes do not fill each other's gaps."""
    rows: dict[tuple[bool, float], list[tuple[float, float]]] = {}
    for (x1, y1), (x2, y2) in pieces:
        upright = x1 == x2
        rows.setdefault((upright, x1 if upright else y1), []).append((y1, y2) if upright else (x1, x2))
    found = []
    for (upright, at), spans in sorted(rows.items()):
        for low, high in _unions(sorted(spans)):
            found.append(((at, low), (at, high)) if upright else ((low, at), (high, at)))
    return tuple(found)


def _unions(spans: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    found: list[tuple[float, float]] = []
    for low, high in spans:
        if found and low <= found[-1][1]:
            found[-1] = (found[-1][0], max(high, found[-1][1]))
        else:
            found.append((low, high))
    return found


def branches(pieces: Sequence[tuple[Point, Point]]) -> list[Point]:
    """Where a line of a net leaves the middle of another: a dot tells a branch from a crossing."""
    level = [piece for piece in pieces if piece[0][1] == piece[1][1]]
    upright = [piece for piece in pieces if piece[0][0] == piece[1][0]]
    dots = set()
    for (x1, y), (x2, _) in level:
        for (x, y1), (_, y2) in upright:
            touching = x1 <= x <= x2 and y1 <= y <= y2
            if touching and (x1 < x < x2 or y1 < y < y2):
                dots.add((x, y))
    return sorted(dots)
