"""Any plan whatever, with any words: each step once, every way there, in every kind of output."""

from __future__ import annotations

import json

from hypothesis import given, settings
from hypothesis import strategies as st

from faultiso.base.notice import printed_notice
from faultiso.planning.tree import Branch, Candidate, Certificate, Plan, Step
from faultiso.report.charts.chart import chart_of
from faultiso.report.charts.html import chart_html
from faultiso.report.charts.markdown import chart_markdown
from faultiso.report.charts.page import chart_page, chart_record
from faultiso.report.charts.picture import chart_svg
from faultiso.report.charts.pieces import pieces
from faultiso.report.charts.sheets import ROOM, sheets_of
from faultiso.report.json_output import document
from faultiso.report.terminal import Look, render

WORDS = st.one_of(st.sampled_from(["low", "W" * 300, "word " * 80, ""]), st.text(max_size=30))
ENDS = ["isolated", "verified", "no fault found", "refer"]
DEEDS = ["check", "look", "change of conditions", "repair"]


@st.composite
def plans(draw) -> Plan:
    """Steps that lead to earlier made ones; what the last one does not reach is no part of the plan."""
    steps: list[Step] = []
    for number in range(draw(st.integers(1, 14))):
        count = draw(st.integers(1, 4)) if steps else 0
        targets = (
            draw(st.lists(st.sampled_from(range(number)), min_size=count, max_size=count)) if steps else []
        )
        share = 1.0 / draw(st.integers(max(1, count), 6))
        branches = tuple(Branch(draw(WORDS), share, steps[target]) for target in targets)
        kind = draw(st.sampled_from(DEEDS if branches else [*ENDS, "check"]))
        candidates = tuple(Candidate((draw(WORDS),), 0.3) for _ in range(draw(st.integers(0, 3))))
        cut = draw(st.one_of(st.none(), WORDS))
        steps.append(Step(kind, f"s{number}", draw(WORDS), 5.0, 9.0, branches, candidates, {}, None, cut))
    return Plan(steps[-1], Certificate(9.0, draw(st.floats(0, 9)), "exact"), (draw(WORDS),))


@settings(max_examples=40)
@given(plans(), st.integers(1, 5))
def test_each_step_is_drawn_on_once_and_nothing_is_lost(plan, deepest):
    chart = chart_of(plan)
    twigs = [twig for piece in pieces(chart, deepest, 20.0) for twig in piece.twigs]
    assert sorted(t.number for t in twigs if t.here) == [entry.number for entry in chart.entries]
    assert sum(t.way is not None for t in twigs) == sum(len(entry.ways) for entry in chart.entries)


@settings(max_examples=40)
@given(plans())
def test_every_output_is_whole(plan):
    chart = chart_of(plan, title="any")
    assert max(map(len, render(chart_page(chart), Look(40)).split("\n"))) <= 400
    assert json.loads(document(chart_record(chart)))["tree"]["number"] == 1
    found = sheets_of(chart)
    assert set(found.step_page) == set(found.tree_page) == {entry.number for entry in chart.entries}
    assert all(sum(part.lines for part in page) <= ROOM + 1e-9 or len(page) == 1 for page in found.pages)
    assert chart_html(chart).count(printed_notice()) == 2 * len(found.pages)
    assert "not approved maintenance data" in chart_svg(chart) and "## Steps" in chart_markdown(chart)
