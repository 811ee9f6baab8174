"""What changed between two models: nothing but what was changed is told, and all of it."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultiso.drafting.comparing.difference import SECTIONS, Difference, difference
from faultiso.drafting.comparing.leaves import leaves
from faultiso.language.load import load_text, read_model
from faultiso.language.shipped import shipped_models
from faultiso.model.system import Model
from tests.language.frame import SMALL

TEXT = SMALL.read_text("utf-8")


def model_of(text: str) -> Model:
    loaded = load_text(text, lint=False)
    assert loaded.model is not None, [str(problem) for problem in loaded.errors]
    return loaded.model


def changed(*pairs: tuple[str, str]) -> Difference:
    """What changed from the small model to the same with some texts replaced, each found at least once."""
    text = TEXT
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    return difference(model_of(TEXT), model_of(text))


@pytest.mark.parametrize("path", [SMALL, *shipped_models().values()], ids=lambda path: path.stem)
def test_a_model_is_as_itself(path) -> None:
    model = read_model(path)
    assert difference(model, model).nothing


@given(st.data())
@settings(max_examples=60, deadline=None)
def test_every_number_that_is_changed_is_told_with_its_ratio(data: st.DataObject) -> None:
    places = list(re.finditer(r"(?:rate|minutes|low|high|share|fails|miss|tolerance): ([0-9.e-]+)\b", TEXT))
    place = data.draw(st.sampled_from(places))
    factor = data.draw(st.sampled_from([0.25, 0.5, 1.05]))
    new = f"{float(place[1]) * factor:.10g}"
    found = difference(model_of(TEXT), model_of(TEXT[: place.start(1)] + new + TEXT[place.end(1) :]))
    assert found.figures and not (found.added or found.removed or found.renamed or found.said)
    told = {(figure.old, figure.new) for figure in found.figures}
    assert told == {(float(place[1]), float(new))}
    assert all(figure.ratio == pytest.approx(factor) for figure in found.figures)
    line = TEXT.count("\n", 0, place.start()) + 1
    # the place is that of the part, which begins at most some lines above its number
    assert all(0 <= line - figure.where.line < 12 for figure in found.figures)


def test_parts_that_came_and_went() -> None:
    found = changed(
        (
            "  tap_lamp: {reads: lamp.loose, minutes: 1}",
            "  look: {title: look at it, reads: lamp.loose, minutes: 2}",
        )
    )
    assert [(part.section, part.name) for part in found.added] == [("checks", "look")]
    assert [(part.section, part.name) for part in found.removed] == [("checks", "tap_lamp")]
    assert not (found.renamed or found.figures or found.said)


def test_a_part_that_is_renamed_is_told_once() -> None:
    found = changed(
        ("pump", "engine_pump"),
        ("engine_pump worn", "pump worn"),
        ("drive engine_pump", "drive pump"),
        ("the engine_pump", "the pump"),
    )
    renamed = {(part.section, part.name, part.new_name) for part in found.renamed}
    assert ("components", "pump", "engine_pump") in renamed
    assert ("faults", "pump.worn", "engine_pump.worn") in renamed
    assert not (found.added or found.removed)
    assert {said.what for said in found.said} <= {"title", "about"}


def test_rows_and_texts() -> None:
    found = changed(
        ("      - {when: {power: off}, then: out}\n", ""), ("title: pump pressure", "title: line pressure")
    )
    assert [(said.name, said.what, said.old, said.new) for said in found.said] == [
        ("pressure", "title", "pump pressure", "line pressure"),
        ("pressure_light", "row when power off", "out", ""),
    ]


def test_the_order_of_rows_counts_that_of_conditions_does_not() -> None:
    rows = ("      - {when: {power: off}, then: out}\n", "      - {when: {motor: stopped}, then: out}\n")
    found = changed(("".join(rows), "".join(reversed(rows))))
    assert [(said.name, said.what) for said in found.said] == [("pressure_light", "order of the rows")]
    two = TEXT.replace(
        "{when: {motor: stopped}, then: none}", "{when: {motor: stopped, power: [on, off]}, then: none}"
    )
    other = TEXT.replace(
        "{when: {motor: stopped}, then: none}", "{when: {power: [off, on], motor: stopped}, then: none}"
    )
    assert difference(model_of(two), model_of(other)).nothing


def test_the_order_of_cases_counts_and_no_second_cause_is_overlooked() -> None:
    head = (
        "model: odd\ntitle: odd\nsubject: generic\nconditions: {motor: {values: [stopped, running, fast]}}\n"
    )
    head += "components: {a: {faults: {x: {rate: 1e-4}}}}\nindications: {light: {kind: light, reads: q}}\n"
    head += "quantities:\n  q:\n    levels: [normal, low]\n    causes:\n"
    one, two = (
        "{when: {motor: [stopped, running]}, gives: {low: 0.2}}",
        "{when: {motor: [running, fast]}, gives: {low: 0.4}}",
    )
    cases = model_of(f"{head}      - {{fault: a.x, cases: [{one}, {two}]}}\n")
    swapped = model_of(f"{head}      - {{fault: a.x, cases: [{two}, {one}]}}\n")
    assert [said.what for said in difference(cases, swapped).said] == ["a.x, order of the cases"]
    row = "      - {{fault: a.x, gives: {{low: {0}}}}}\n"
    single, double = model_of(head + row.format(0.5)), model_of(head + row.format(0.3) + row.format(0.5))
    other = model_of(head + row.format(0.1) + row.format(0.5))
    assert not difference(single, double).nothing and not difference(double, other).nothing
    assert [figure.old for figure in difference(double, other).figures] == [0.3]


def test_the_top_and_the_flow() -> None:
    found = changed(
        ("  - [pump, filter]\n", ""), ('version: "0.1"', 'version: "0.2"\nflight_hours_at_risk: 50')
    )
    assert [(figure.what, figure.old, figure.new) for figure in found.figures] == [
        ("flight hours at risk", 100, 50)
    ]
    assert [(said.what, said.new) for said in found.said] == [("flow pump to filter", "")]


def test_everything_that_a_part_says_is_a_leaf() -> None:
    """Two parts with the same leaves say the same: equal but for name and place."""
    from dataclasses import replace

    model = read_model(SMALL)
    parts = [part for section in SECTIONS for part in getattr(model, section).values()]
    for one in parts:
        for other in parts:
            if type(one) is type(other) and leaves(one) == leaves(other):
                same = {"name": one.name, "where": one.where}
                if hasattr(one, "faults"):
                    same["faults"] = one.faults
                assert (
                    replace(other, **same, **({"component": one.component} if hasattr(one, "rate") else {}))
                    == one
                )
