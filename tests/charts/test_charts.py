"""Charts of plans made by hand: what stands on the screen and in the data."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import pytest

from faultiso.planning.tree import Branch, Certificate, Plan, Step
from faultiso.report.charts.chart import Chart, chart_of
from faultiso.report.charts.page import chart_page, chart_record
from faultiso.report.charts.pieces import pieces
from faultiso.report.json_output import document
from faultiso.report.terminal import Look, render
from tests.charts.plans import big_plan, rig, small_plan


def small() -> Chart:
    return chart_of(small_plan(), rig(), complaint="Platform slow to lift.")


def big() -> Chart:
    return chart_of(big_plan(), rig(), title="Lifting bench, long chart")


@pytest.mark.parametrize("look", [Look(80), Look(40), Look(80, plain=True)], ids=["80", "40", "plain"])
def test_the_screen(look, golden, request):
    golden(f"charts/small-{request.node.callspec.id}.txt", render(chart_page(small()), look))


def test_the_data(golden):
    golden("charts/small.json", document(chart_record(small()), "training_rig"))


@pytest.mark.parametrize("columns", [40, 80])
def test_no_line_is_wider_than_the_screen(columns):
    lines = render(chart_page(big()), Look(columns)).split("\n")
    assert max(map(len, lines)) <= columns


@pytest.mark.parametrize("chart", [small(), big()], ids=["small", "big"])
@pytest.mark.parametrize("deepest", [1, 2, 6, 40])
def test_every_step_is_drawn_on_once_and_every_way_is_there(chart, deepest):
    twigs = [twig for piece in pieces(chart, deepest) for twig in piece.twigs]
    heads = [piece.head for piece in pieces(chart, deepest)]
    drawn = [twig.number for twig in twigs if twig.here]
    assert sorted(drawn) == [entry.number for entry in chart.entries]
    assert sum(twig.way is not None for twig in twigs) == sum(len(entry.ways) for entry in chart.entries)
    assert max(twig.depth for twig in twigs) <= deepest
    assert all(twig.here or twig.number in drawn for twig in twigs) and heads[0] == 1


def numbers_in(tree) -> list[int]:
    return [
        tree["number"],
        *(n for b in tree["branches"] if "number" in b["then"] for n in numbers_in(b["then"])),
    ]


def test_data_nest_each_step_once_however_long_the_chart():
    chart = chart_of(big_plan(300))
    record = json.loads(document(chart_record(chart)))
    found = [number for tree in (record["tree"], *record["further"]) for number in numbers_in(tree)]
    assert sorted(found) == [entry.number for entry in chart.entries]
    assert record["expected_minutes"] == 99 and record["lower_bound"] == 80
    assert record["gap"] == pytest.approx(19 / 99) and record["bound"] == "clairvoyant"


def test_a_plan_of_nothing_but_an_end():
    chart = chart_of(Plan(Step("refer", "refer", "refer", 0, 0), Certificate(0, 0, "exact")))
    text = " ".join(render(chart_page(chart)).split())
    assert (
        "End: stop and refer to the approved data." in text
        and "no plan for the same problem takes less" in text
    )


def test_what_is_not_followed_and_what_was_cut_is_told():
    text = " ".join(render(chart_page(small())).split())
    assert "anything else (15 in 100): not followed; stop and refer to the approved data" in text
    assert (
        "The plan is not followed further here: the time to plan ran out; stop and refer to the approved data."
        in text
    )
    assert "The plan stops early at step 9: 2 in 100 come there." in text
    assert "Pairs of faults beyond the six likeliest were left out" in text


def test_foreign_text_is_cleaned_and_nothing_is_released():
    evil = "\x1b[31mred\x1b[0m <script>|*x*\u202e\nsecond"
    first = small_plan().first
    branches = tuple(replace(branch, outcome=evil) for branch in first.branches)
    plan = Plan(replace(first, title=evil, branches=branches), Certificate(1, 1, evil), (evil,))
    text = render(chart_page(chart_of(plan, title=evil, complaint=evil)))
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f\u202e]", text)
    assert not re.search("release|airworth|return to service", render(chart_page(big())), re.I)


def test_the_likeliest_outcome_stands_first():
    ends = [
        Branch(name, p, Step("isolated", name, name, 0, 0)) for name, p in (("rare", 0.1), ("usual", 0.9))
    ]
    chart = chart_of(Plan(Step("check", "c", "c", 1, 1, tuple(ends)), Certificate(1, 1, "exact")))
    assert [way.outcome for way in chart.entry(1).ways] == ["usual", "rare"]
