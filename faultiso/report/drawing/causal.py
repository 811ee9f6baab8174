"""The causal graph of a model for the one who writes it: faults, what they act on, what shows it.

Kinds are told by outline, links by dashes. Under each title stand its name in the file and the conditions
that decide how it answers.
"""

from __future__ import annotations

from collections.abc import Iterator

from faultiso.model.causes import Arrow, Causes, How, Kind, Node, causes_of
from faultiso.model.system import Model
from faultiso.report.drawing import svg
from faultiso.report.drawing.flowing import Heights, arrange

_BOX, _ACROSS, _MARGIN, _TOP, _SPACE = 172.0, 76.0, 20.0, 50.0, 12.0
_SMALL = 10.0
_DASHES: dict[How, str] = {"may": "", "rule": "7 4", "brings": "2 4"}
_LINES: dict[How, str] = {
    "may": "may cause it, with a chance",
    "rule": "a row of its table reads it",
    "brings": "may bring this fault about",
}
_KINDS: dict[Kind, str] = {
    "fault": "fault",
    "quantity": "quantity (hidden)",
    "indication": "indication",
    "check": "check",
}
_LEGEND = 236.0


def draw_causes(model: Model, name: str | None = None) -> str:
    """The causal graph as SVG text; with ``name`` only what is next to it.

    The same model gives the same text. Raises UsageError if the model does not know the name.
    """
    graph = causes_of(model, name)
    texts = {node.name: _texts(node) for node in graph.nodes}
    tall = {name: svg.LEADING * len(title) + 12.5 * len(small) + 14 for name, (title, small) in texts.items()}
    pairs = list(dict.fromkeys((arrow.source, arrow.target) for arrow in graph.arrows))
    heights = arrange([node.name for node in graph.nodes], pairs, tall, _SPACE, _TOP)
    columns = 1 + max(heights.column.values(), default=0)
    width = max(2 * _MARGIN + columns * _BOX + (columns - 1) * _ACROSS, 760.0)
    foot = heights.bottom + 14
    body = [
        *(
            _curve(arrow, heights)
            for arrow in graph.arrows
            if (arrow.source, arrow.target) in heights.passing
        ),
        *(_box(node, texts[node.name], tall[node.name], heights, node.name == name) for node in graph.nodes),
    ]
    for y, part in _legend(graph, width, foot + 6):
        body.append(part)
        foot = max(foot, y)
    title = f"{model.title}: what acts on what" + (f", around {name}" if name else "")
    return svg.document(width, foot + 16, title, "Causal graph, from left to right.", model.subject, body)


def _texts(node: Node) -> tuple[list[str], list[str]]:
    """Title lines, and small lines: the name in the file, the conditions it depends on."""
    room = _BOX - 34 if node.kind in ("fault", "check") else _BOX - 18
    small = svg.wrap(node.name, room, most=2, size=_SMALL)
    if node.given:
        small += svg.wrap(f"given {', '.join(node.given)}", room, most=3, size=_SMALL)
    return svg.wrap(node.title, room, most=3), small


def _left(column: int) -> float:
    return _MARGIN + column * (_BOX + _ACROSS)


def _curve(arrow: Arrow, heights: Heights) -> str:
    """Level where it passes a column, bent between two columns."""
    at = heights.column[arrow.source]
    x, y = _left(at) + _BOX, heights.middle[arrow.source]
    path = f"M {svg.number(x)} {svg.number(y)}"
    stops = [
        *heights.passing[arrow.source, arrow.target],
        (heights.column[arrow.target], heights.middle[arrow.target]),
    ]
    for column, height in stops:
        right = _left(column)
        half = (x + right) / 2
        corners = ((half, y), (half, height), (right, height))
        path += " C " + " ".join(f"{svg.number(a)} {svg.number(b)}" for a, b in corners)
        x, y = right + _BOX, height
        if (column, height) != stops[-1]:
            path += f" H {svg.number(x)}"
    dashes = _DASHES[arrow.how]
    dashed: svg.Attributes = {"stroke_dasharray": dashes} if dashes else {}
    end = svg.arrow(_left(stops[-1][0]), y, 3.6)
    return svg.element("path", d=path, fill="none", stroke="#4a4a4a", stroke_width=1.1, **dashed) + end


def _box(node: Node, texts: tuple[list[str], list[str]], tall: float, heights: Heights, marked: bool) -> str:
    x, middle = _left(heights.column[node.name]), heights.middle[node.name]
    title, small = texts
    top = middle - tall / 2
    outline = _outline(node.kind, x, top, _BOX, tall, 3.0 if marked else 1.3)
    centre: svg.Attributes = {"text_anchor": "middle"}
    words = svg.label(title, x + _BOX / 2, top + 19, font_weight="bold", **centre)
    below = top + 19 + svg.LEADING * len(title) - 1
    notes = "".join(
        svg.label([text], x + _BOX / 2, below + 12.5 * i, font_size=_SMALL, **centre)
        for i, text in enumerate(small)
    )
    return outline + words + notes


def _outline(kind: Kind, x: float, y: float, width: float, height: float, stroke: float) -> str:
    """Fault: cut corners; quantity: round ends; indication: plain; check: leaning."""
    right, foot = x + width, y + height
    if kind == "quantity":
        round_ = min(18.0, height / 2)
        box: svg.Attributes = {"x": x, "y": y, "width": width, "height": height, "rx": round_}
        return svg.element("rect", **(svg.OUTLINE | box), stroke_width=stroke)
    lean = {"fault": 9.0, "check": 10.0, "indication": 0.0}[kind]
    if kind == "fault":
        points = [(x + lean, y), (right - lean, y), (right, y + lean), (right, foot - lean)]
        points += [(right - lean, foot), (x + lean, foot), (x, foot - lean), (x, y + lean)]
    else:
        points = [(x + lean, y), (right, y), (right - lean, foot), (x, foot)]
    return svg.polygon(points, stroke_width=stroke)


def _legend(graph: Causes, width: float, top: float) -> Iterator[tuple[float, str]]:
    """(y, part) of each entry, as many side by side as fit."""
    kinds = [kind for kind in _KINDS if any(node.kind == kind for node in graph.nodes)]
    hows = [how for how in _LINES if any(arrow.how == how for arrow in graph.arrows)]
    beside = max(1, int((width - 2 * _MARGIN) // _LEGEND))
    drawn = [(_sample(kind), _KINDS[kind]) for kind in kinds] + [(_dashed(how), _LINES[how]) for how in hows]
    for i, (sample, words) in enumerate(drawn):
        x, y = _MARGIN + _LEGEND * (i % beside), top + 10 + 24 * (i // beside)
        move = f"translate({svg.number(x)} {svg.number(y)})"
        yield y, svg.element("g", sample + svg.label([words], 58, 4), transform=move)


def _sample(kind: Kind) -> str:
    return _outline(kind, 0, -9, 48, 18, 1.3)


def _dashed(how: How) -> str:
    dashed: svg.Attributes = {"stroke_dasharray": _DASHES[how]} if _DASHES[how] else {}
    return svg.line([(0, 0), (44, 0)], stroke_width=1.2, **dashed) + svg.arrow(50, 0, 3.6)
