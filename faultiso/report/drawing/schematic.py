"""The flow schematic of a model: what feeds what, zone by zone, for a person with a pencil.

Own layout: columns by the longest way along the flow, rows beside what feeds them, zones as bands; lines at
right angles on tracks of their own. What a line carries is told by its dashes, never by colour.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

from faultiso.base.problems import UsageError
from faultiso.model.parts import Component, Link
from faultiso.model.system import Model
from faultiso.report.drawing import svg
from faultiso.report.drawing.geometry import BOX, GUTTER, MARGIN, STEP, Plan, branches, plan
from faultiso.report.drawing.grid import Grid, lay_out
from faultiso.report.drawing.routes import Point, ports

#: Medium -> dashes; a shaft is drawn as a double line.
DASHES = {"fluid": "", "air": "11 5", "power": "11 3 2 3", "signal": "2 4", "shaft": ""}
_OTHERS = ("5 3", "14 3", "8 3 2 3 2 3", "1 3", "16 3 5 3")
_WORDS = {"fluid": "fluid", "air": "air", "power": "electric power", "signal": "signal", "shaft": "shaft"}
_TOP = 46.0
_LEGEND = 210.0


def draw_schematic(model: Model, highlight: Collection[str] = ()) -> str:
    """The flow schematic as SVG text; ``highlight`` names components to be outlined twice.

    The same model gives the same text. Raises UsageError if a name in ``highlight`` is no component.
    """
    for name in highlight:
        if name not in model.components:
            raise UsageError(f"{name} is no component of {model.name}")
    grid = lay_out(model)
    texts = {name: svg.wrap(part.title, BOX - 12) for name, part in model.components.items()}
    heights = _row_heights(model, grid, texts)
    drawn = plan(_links(model), grid, heights, _TOP)
    width = max(drawn.width, 760.0)
    legend = list(_legend(model, grid, bool(highlight), width, drawn.height + 14))
    body = [
        *_bands(model, drawn, width),
        *_lines(drawn, _dashes(model)),
        *(
            part
            for name, cell in grid.cells.items()
            for part in _box(
                model.components[name],
                texts[name],
                drawn,
                heights[cell.row],
                marked=name in highlight,
                apart=name in grid.apart,
            )
        ),
        *(part for _, part in legend),
    ]
    height = max((y for y, _ in legend), default=drawn.height) + 16
    title = f"{model.title}: what feeds what"
    return svg.document(
        width, height, title, "Flow schematic, to be read from left to right.", model.subject, body
    )


def _links(model: Model) -> list[Link]:
    """Each link once, none from a component to itself."""
    seen: dict[tuple[str, str, str], Link] = {}
    for link in model.flow:
        if link.source != link.target:
            seen.setdefault((link.source, link.target, link.carries), link)
    return list(seen.values())


def _row_heights(model: Model, grid: Grid, texts: dict[str, list[str]]) -> list[float]:
    heights = [34.0] * grid.height
    reach: dict[str, float] = {}
    for (name, _, _), offset in ports(_links(model), grid, STEP).items():
        reach[name] = max(reach.get(name, 0.0), abs(offset))
    for name, cell in grid.cells.items():
        height = max(len(texts[name]) * svg.LEADING + 14, 2 * reach.get(name, 0.0) + 14)
        heights[cell.row] = max(heights[cell.row], height)
    return heights


def _bands(model: Model, drawn: Plan, width: float) -> Iterator[str]:
    for i, (zone, top, bottom) in enumerate(drawn.bands):
        fill = "#ffffff" if i % 2 else "#f3f3f1"
        size: svg.Attributes = {"x": 12.0, "y": top, "width": width - 24, "height": bottom - top}
        yield svg.element("rect", **size, fill=fill, stroke="#9a9a9a", stroke_width=0.8)
        title = model.zones[zone].title if zone in model.zones else zone or "no zone given"
        yield svg.label(svg.wrap(title, GUTTER - 16), MARGIN, top + 20, font_weight="bold")


def _lines(drawn: Plan, dashes: Mapping[str, str]) -> Iterator[str]:
    for net, pieces in sorted(drawn.lines.items()):
        for piece in pieces:
            yield _stroke(piece, net[2], dashes[net[2]])
        if net[2] == "shaft":
            for piece in pieces:
                yield svg.line(piece, stroke="#ffffff", stroke_width=2.2, stroke_linecap="square")
        for x, y in branches(pieces):
            yield svg.element("circle", cx=x, cy=y, r=3.2)
    for (x, y), net in drawn.ends:
        yield svg.arrow(x, y, 6.0 if net[2] == "shaft" else 4.2)


def _dashes(model: Model) -> dict[str, str]:
    """Dashes of each medium in use, in the order of the legend; a medium not foreseen gets its own."""
    used = dict.fromkeys(link.carries for link in model.flow)
    others = [name for name in used if name not in DASHES]
    found = {name: dashes for name, dashes in DASHES.items() if name in used}
    return found | {name: _OTHERS[i % len(_OTHERS)] for i, name in enumerate(others)}


def _stroke(piece: Sequence[Point], carries: str, dashes: str) -> str:
    extra: svg.Attributes = {"stroke_dasharray": dashes} if dashes else {}
    width = 5.2 if carries == "shaft" else 1.7
    return svg.line(piece, stroke_width=width, **extra)


def _outline(apart: bool) -> svg.Attributes:
    return {"stroke_dasharray": "3 3"} if apart else {}


def _box(
    part: Component, lines: list[str], drawn: Plan, room: float, marked: bool, apart: bool
) -> Iterator[str]:
    x, middle = drawn.left[part.name], drawn.middle[part.name]
    top = middle - room / 2
    width = 2.6 if marked else 1.3
    box: svg.Attributes = {"x": x, "y": top, "width": BOX, "height": room, "rx": 7.0, "stroke": svg.INK}
    yield svg.element("rect", **box, **_outline(apart), fill="#ffffff", stroke_width=width)
    if marked:
        inner: svg.Attributes = {"x": x + 4, "y": top + 4, "width": BOX - 8, "height": room - 8, "rx": 4.0}
        yield svg.element("rect", **inner, fill="none", stroke=svg.INK, stroke_width=1.0)
    yield svg.centred(lines, x + BOX / 2, middle, font_weight="bold" if marked else "normal")
    if part.replaceable:
        yield from _sign(x + BOX - 11, top)


def _sign(x: float, y: float) -> Iterator[str]:
    """The sign of a replaceable unit: an R on the edge of its box."""
    yield svg.element("rect", x=x - 7, y=y - 7, width=14.0, height=14.0, fill="#ffffff", stroke=svg.INK)
    yield svg.label(["R"], x, y + 3.8, font_size=10.5, font_weight="bold", text_anchor="middle")


def _legend(model: Model, grid: Grid, marked: bool, width: float, top: float) -> Iterator[tuple[float, str]]:
    """(y of the line, part) of each entry: as many side by side as fit."""
    dashes = _dashes(model)
    entries: list[tuple[str, str]] = [("line", name) for name in dashes]
    if any(part.replaceable for part in model.components.values()):
        entries.append(("sign", "replaceable unit (LRU)"))
    if marked:
        entries.append(("marked", "what is asked about"))
    if len(model.flow) > 1:
        entries.append(("dot", "lines join or branch"))
    if grid.apart:
        entries.append(("apart", "not part of the flow"))
    beside = max(1, int((width - 2 * MARGIN) // _LEGEND))
    for i, (kind, name) in enumerate(entries):
        x, y = MARGIN + _LEGEND * (i % beside), top + 12 + 20 * (i // beside)
        for part in _entry(kind, name, x, y, dashes.get(name, "")):
            yield y, part


def _entry(kind: str, name: str, x: float, y: float, dashes: str) -> Iterator[str]:
    words = _WORDS.get(name, name)
    if kind == "line":
        yield _stroke([(x, y), (x + 44, y)], name, dashes)
        if name == "shaft":
            yield svg.line([(x, y), (x + 44, y)], stroke="#ffffff", stroke_width=2.2)
        yield svg.arrow(x + 53, y, 6.0 if name == "shaft" else 4.2)
    elif kind == "sign":
        yield from _sign(x + 26, y)
    elif kind == "dot":
        yield svg.line([(x, y), (x + 53, y)], stroke_width=1.7)
        yield svg.element("circle", cx=x + 26, cy=y, r=3.2)
    else:
        box: svg.Attributes = {"x": x, "y": y - 8, "width": 53.0, "height": 16.0, "rx": 5.0}
        yield svg.element("rect", **(svg.OUTLINE | _outline(kind == "apart") | box))
        if kind == "marked":
            inner: svg.Attributes = {"x": x + 3, "y": y - 5, "width": 47.0, "height": 10.0, "rx": 3.0}
            yield svg.element("rect", **inner, fill="none", stroke=svg.INK)
    yield svg.label(svg.wrap(words, _LEGEND - 70, most=1), x + 62, y + 4)
