"""A tree broken into pieces that fit a page: where one ends, it names the step at which another begins."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from faultiso.report.charts.chart import Chart, Way


@dataclass(frozen=True)
class Twig:
    """One line of a piece: the step ``number`` at ``depth`` below its head, reached by ``way`` (None for
    the head). ``here``: it is drawn on from here; otherwise the chart shows it at another place."""

    number: int
    depth: int
    way: Way | None
    here: bool


@dataclass(frozen=True)
class Piece:
    """A part of the tree from one step on, in reading order."""

    twigs: tuple[Twig, ...]

    @property
    def head(self) -> int:
        """The number of the step that it begins at."""
        return self.twigs[0].number


def pieces(
    chart: Chart, deepest: int, room: float = float("inf"), size: Callable[[Twig], float] = lambda twig: 1.0
) -> tuple[Piece, ...]:
    """The whole tree, each step drawn on in one place, below the first step that leads to it.

    No piece is deeper than ``deepest`` (at least 1); it takes no more than ``room``, ``size`` of each line,
    unless a single step with its outcomes does.
    """
    found = []
    heads = [1]
    while heads:
        piece = _fitting(chart, heads.pop(0), deepest, room, size)
        found.append(piece)
        heads = sorted({*heads, *_left_over(chart, piece)})
    return tuple(found)


def _left_over(chart: Chart, piece: Piece) -> Iterator[int]:
    """Steps that would be drawn on in this piece if it were deeper."""
    drawn = {twig.number for twig in piece.twigs if twig.here}
    for twig in piece.twigs:
        if twig.number not in drawn and chart.entry(twig.number).came_from[0] in drawn:
            yield twig.number


def _fitting(chart: Chart, head: int, deepest: int, room: float, size: Callable[[Twig], float]) -> Piece:
    for depth in range(deepest, 0, -1):
        piece = Piece(tuple(_twigs(chart, head, depth)))
        if depth == 1 or sum(map(size, piece.twigs)) <= room:
            return piece
    raise AssertionError("a piece is at least one step deep")


def _twigs(chart: Chart, head: int, deepest: int) -> Iterator[Twig]:
    stack = [Twig(head, 0, None, True)]
    drawn: set[int] = set()
    while stack:
        twig = stack.pop()
        here = twig.here and twig.number not in drawn
        yield Twig(twig.number, twig.depth, twig.way, here)
        if not here:
            continue
        drawn.add(twig.number)
        entry = chart.entry(twig.number)
        for way in reversed(entry.ways):
            target = chart.entry(way.to)
            on = target.came_from[0] == entry.number and (twig.depth + 1 < deepest or not target.ways)
            stack.append(Twig(way.to, twig.depth + 1, way, on))
