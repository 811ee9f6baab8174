"""Schematic and causal graph: nothing overlaps, every link is there, foreign text stays text."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.base.problems import UsageError
from faultiso.language.load import load
from faultiso.language.shipped import shipped_models
from faultiso.model.causes import Arrow, causes_of
from faultiso.model.parts import Component, Link
from faultiso.model.system import Model
from faultiso.report.drawing.causal import draw_causes
from faultiso.report.drawing.flowing import spread
from faultiso.report.drawing.geometry import BOX, plan
from faultiso.report.drawing.grid import lay_out
from faultiso.report.drawing.layers import columns, split
from faultiso.report.drawing.routes import net_of
from faultiso.report.drawing.schematic import draw_schematic
from faultiso.report.drawing.svg import text_width, wrap
from tests.drawing.cart import small_cart

SVG = "{http://www.w3.org/2000/svg}"
SHIPPED = sorted(shipped_models().values())


@st.composite
def flows(draw) -> Model:
    count = draw(st.integers(2, 12))
    names = [f"c{i}" for i in range(count)]
    zones = ["", "z1", "z2"]
    parts = {name: Component(name, name, zone=draw(st.sampled_from(zones))) for name in names}
    ends = st.tuples(st.sampled_from(names), st.sampled_from(names), st.sampled_from(["fluid", "power"]))
    links = draw(st.lists(ends, min_size=1, max_size=20))
    return Model("m", "m", "generic", components=parts, flow=tuple(Link(*link) for link in links))


def planned(model: Model):
    grid = lay_out(model)
    links = list({(k.source, k.target, k.carries): k for k in model.flow if k.source != k.target}.values())
    return links, grid, plan(links, grid, [60.0] * grid.height, 40.0)


@given(flows())
def test_boxes_stand_apart_and_no_line_runs_through_one(model):
    _, grid, drawn = planned(model)
    places = list(grid.cells.values())
    assert len(set(places)) == len(places) == len(model.components)
    for pieces in drawn.lines.values():
        for (x1, y1), (x2, y2) in pieces:
            for name in grid.cells:
                left, middle = drawn.left[name], drawn.middle[name]
                through = x1 < left + BOX - 1 and x2 > left + 1 and y1 < middle + 29 and y2 > middle - 29
                assert not through, (name, (x1, y1), (x2, y2))


@given(flows())
def test_every_link_is_drawn_from_end_to_end(model):
    links, grid, drawn = planned(model)
    for link in links:
        pieces = drawn.lines[net_of(link, grid)]
        starts = [
            p for p in pieces if p[0][0] == drawn.left[link.source] + BOX and near(p[0], link.source, drawn)
        ]
        reached, todo = set(), list(starts)
        while todo:
            piece = todo.pop()
            if piece not in reached:
                reached.add(piece)
                todo += [other for other in pieces if touch(piece, other)]
        tips = [point for point, net in drawn.ends if net == net_of(link, grid)]
        assert any(
            x == drawn.left[link.target] and near((x, y), link.target, drawn) and holds(reached, x, y)
            for x, y in tips
        )


def near(point, name, drawn) -> bool:
    return abs(point[1] - drawn.middle[name]) < 200


def touch(a, b) -> bool:
    (ax1, ay1), (ax2, ay2) = a
    (bx1, by1), (bx2, by2) = b
    return ax1 <= bx2 and bx1 <= ax2 and ay1 <= by2 and by1 <= ay2


def holds(pieces, x, y) -> bool:
    return any(a <= x <= c and b <= y <= d for (a, b), (c, d) in pieces)


@given(flows())
def test_lines_of_different_nets_never_lie_on_each_other(model):
    check_lines(planned(model)[2])


def check_lines(drawn) -> None:
    laid = [(net, piece) for net, pieces in drawn.lines.items() for piece in pieces]
    for i, (net, a) in enumerate(laid):
        for other, b in laid[i + 1 :]:
            for axis in (0, 1):
                both = a[0][axis] == a[1][axis] and b[0][axis] == b[1][axis]
                along = 1 - axis
                shared = min(a[1][along], b[1][along]) - max(a[0][along], b[0][along])
                assert net == other or not both or abs(a[0][axis] - b[0][axis]) > 1 or shared <= 0


def test_the_link_that_closes_a_circle_leads_back():
    """Also where the circle is entered from another one first: the file says where it begins."""
    pairs = [("a", "b"), ("b", "c"), ("c", "a"), ("c", "y"), ("x", "y"), ("y", "z"), ("z", "x")]
    forward, back = split(list("abcyxz"), pairs)
    assert back == [("c", "a"), ("z", "x")]
    assert columns(list("abcyxz"), forward) == {"a": 0, "b": 1, "c": 2, "x": 2, "y": 3, "z": 4}


def words(text: str) -> str:
    return " ".join("".join(part.itertext()) for part in ElementTree.fromstring(text).iter(f"{SVG}tspan"))


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_shipped_models_are_drawn_whole_and_alike_each_time(path):
    model = load(path, lint=False).model
    assert model is not None
    schematic, causes = draw_schematic(model), draw_causes(model)
    assert (schematic, causes) == (draw_schematic(model), draw_causes(model))
    shown = words(schematic).split()
    for part in model.components.values():
        assert set(part.title.split()[:2]) <= set(shown)
    for name in (*model.faults, *model.checks):
        assert name in words(causes).replace(" ", "")
    check_lines(planned(model)[2])


def test_the_small_cart_as_drawn(golden):
    golden("drawing/schematic.svg", draw_schematic(small_cart(), ["pump"]))
    golden("drawing/causes.svg", draw_causes(small_cart()))
    golden("drawing/causes-near.svg", draw_causes(small_cart(), "pressure"))


def test_a_schematic_names_zones_media_units_and_the_notice():
    found = words(draw_schematic(small_cart(), ["pump"]))
    for expected in ("wet side", "dry side", "fluid", "electric power", "signal", "shaft", "air", "LRU"):
        assert expected in found
    assert "TRAINING." in found and "not approved maintenance data" in found
    assert "Uncontrolled when printed" in found and "what is asked about" in found
    assert "what is asked about" not in words(draw_schematic(small_cart()))


def test_every_medium_has_dashes_of_its_own():
    model = small_cart()
    model = replace(model, flow=(*model.flow, Link("tank", "lamp", "cable"), Link("tank", "lamp", "rope")))
    text = draw_schematic(model)
    legend = text[text.index(">fluid<") :]
    assert re.findall(r'stroke-dasharray="([^"]+)"', legend) == [
        "11 5",
        "11 3 2 3",
        "2 4",
        "5 3",
        "14 3",
        "3 3",
    ]


def test_foreign_text_stays_text():
    evil = "</text><script>alert(1)</script> & \x1b[31m \x00 ]]>"
    model = small_cart()
    pump = replace(model.components["pump"], title=evil)
    model = replace(model, title=evil, components={**model.components, "pump": pump})
    for text in (draw_schematic(model), draw_causes(model)):
        tree = ElementTree.fromstring(text)
        assert not list(tree.iter(f"{SVG}script")) and "\x1b" not in text
        assert "script" in words(text)


def test_unknown_names_are_told():
    with pytest.raises(UsageError, match="pumpe is no component"):
        draw_schematic(small_cart(), ["pumpe"])
    with pytest.raises(UsageError, match="nearest: pressure"):
        draw_causes(small_cart(), "presure")


def test_a_model_without_flow_or_anything_is_still_a_drawing():
    empty = Model("m", "m", "generic")
    for text in (draw_schematic(empty), draw_causes(empty)):
        assert "TRAINING." in words(text)
    assert "tank" in words(draw_schematic(replace(small_cart(), flow=())))


def test_causes_are_those_of_the_model():
    graph = causes_of(small_cart())
    assert set(graph.arrows) == {
        Arrow("pump.worn", "pressure", "may"),
        Arrow("relief.weak", "pressure", "may"),
        Arrow("pump.sheared", "pressure", "rule"),
        Arrow("lamp.dead", "light", "rule"),
        Arrow("pressure", "light", "rule"),
        Arrow("pressure", "gauge", "rule"),
        Arrow("filter.clogged", "look", "rule"),
    }
    near = causes_of(small_cart(), "lamp")
    assert {node.name for node in near.nodes} == {"lamp.dead", "light"}
    assert {node.name for node in causes_of(small_cart(), "run").nodes} >= {"pressure", "light"}


def test_nodes_of_a_causal_graph_do_not_overlap():
    tree = ElementTree.fromstring(draw_causes(small_cart()))
    rects = [r for r in tree.iter(f"{SVG}rect") if r.get("rx")]
    polygons = [p for p in tree.iter(f"{SVG}polygon") if p.get("stroke-width") == "1.3"]
    assert rects and polygons
    boxes = []
    for polygon in polygons:
        points = [tuple(map(float, point.split(","))) for point in polygon.get("points").split()]
        xs, ys = zip(*points, strict=True)
        boxes.append((min(xs), min(ys), max(xs), max(ys)))
    boxes = [box for box in boxes if box[0] != 0.0]
    for i, a in enumerate(boxes):
        for b in boxes[i + 1 :]:
            assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]


@given(st.lists(st.tuples(st.floats(-100, 100), st.floats(1, 50)), min_size=1, max_size=12))
def test_spread_keeps_order_and_room_and_leaves_what_fits_alone(spots):
    wish, sizes = zip(*spots, strict=True)
    found = spread(wish, sizes)
    for i in range(len(found) - 1):
        assert found[i + 1] - found[i] >= (sizes[i] + sizes[i + 1]) / 2 - 1e-6
    far = [1000.0 * i for i in range(len(wish))]
    assert spread(far, sizes) == pytest.approx(far)


@given(st.text(max_size=200), st.floats(40, 200))
def test_wrapped_text_fits(text, width):
    lines = wrap(text, width, most=3)
    assert len(lines) <= 3
    assert all(text_width(line) <= width or len(line) <= 4 for line in lines)
