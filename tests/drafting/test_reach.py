"""Rows that are said to be out of reach surely are: no sets of faults, no level, brings them about."""

from __future__ import annotations

from itertools import combinations

import pytest

from faultiso.drafting.reach import responses_of, rows_reached
from faultiso.language.load import read_model
from faultiso.language.shipped import find_model
from faultiso.model.expected import expected, matches
from faultiso.model.system import Model
from tests.language.frame import SMALL, load_fragment

TWO = """
conditions: {motor: {values: [stopped, running]}, mode: {values: [a, b]}}
situations: {at_work: {set: {motor: running}}}
components: {pump: {faults: {worn: {rate: 1e-5}, torn: {rate: 1e-5}}}}
quantities:
  flow:
    levels: [full, small, none]
    rules:
      - {when: {motor: stopped}, then: none}
      - {when: {mode: b, pump.torn: present}, then: none}
      - {when: {pump.torn: present}, then: none}
    causes:
      - {fault: pump.worn, when: {mode: b}, gives: {small: 0.9}}
      - {fault: pump.torn, gives: {small: 0.5}}
  heat:
    levels: [cold, hot]
    rules:
      - {when: {flow: small}, then: hot}
      - {when: {flow: [full, none]}, then: cold}
      - {then: hot}
"""


def model_of(text: str) -> Model:
    model = load_fragment(text, lint=False).model
    assert model is not None
    return model


def test_rows_and_causes() -> None:
    model = model_of(TWO)
    rows, responses = rows_reached(model, [model.start, model.situations["at_work"].values])
    assert rows == {("flow", 0), ("flow", 2), ("heat", 0), ("heat", 1)} | ({("heat", 2)} & rows)
    assert ("flow", 1) not in rows and responses == {("flow", 1)}
    everywhere = [{"motor": "running", "mode": "b"}, model.start]
    rows, responses = rows_reached(model, everywhere)
    assert {("flow", 1), ("heat", 0)} <= rows and ("flow", 2) in rows
    assert responses == {("flow", 0), ("flow", 1)}
    assert [(cause.source, number) for cause, number, _ in responses_of(model.quantities["flow"])] == [
        ("pump.worn", 0),
        ("pump.torn", 1),
    ]


@pytest.mark.parametrize("path", [SMALL, find_model("workshop-power-cart")], ids=lambda path: path.stem)
def test_what_surely_happens_is_in_reach(path) -> None:
    """Each row that decides in some setting with up to two faults, followed by rules alone."""
    model = read_model(path)
    settings = [situation.values for situation in model.situations.values()]
    rows, _ = rows_reached(model, settings)
    sets = [frozenset(chosen) for size in (0, 1) for chosen in combinations(model.faults, size)]
    seen = set()
    for setting in settings:
        for faults in sets:
            values = {**setting, **expected(model, setting, faults)}
            values |= {name: "present" if name in faults else "absent" for name in model.faults}
            for part in (*model.quantities.values(), *model.signs()):
                deciding = next((n for n, rule in enumerate(part.rules) if matches(rule.when, values)), None)
                if deciding is not None:
                    seen.add((part.name, deciding))
    assert len(seen) > 8 and seen <= rows


def test_what_is_remembered_is_in_reach_after_it() -> None:
    model = model_of("""
        conditions: {motor: {values: [stopped, running]}}
        components: {pump: {faults: {worn: {rate: 1e-5}}}}
        quantities:
          heat: {levels: [cold, hot], remember: yes, causes: [{fault: pump.worn, when: {motor: running}, gives: {hot: 1}}]}
          smell: {levels: [none, burnt], rules: [{when: {motor: stopped, heat: hot}, then: burnt}, {then: none}]}
    """)
    rows, _ = rows_reached(model, [model.start])
    assert ("smell", 0) not in rows
    rows, _ = rows_reached(model, [model.start, {"motor": "running"}])
    assert ("smell", 0) in rows


def test_behind_a_row_that_may_match_the_next_is_still_in_reach() -> None:
    """Only a row that matches whatever is wrong ends the rows."""
    model = model_of("""
        components: {pump: {faults: {worn: {rate: 1e-5}}}}
        quantities:
          flow: {levels: [full, none], causes: [{fault: pump.worn, gives: {none: 0.5}}]}
          heat:
            levels: [cold, hot]
            rules: [{when: {flow: none}, then: hot}, {when: {flow: [full, none]}, then: cold}, {then: hot}]
    """)
    rows, _ = rows_reached(model, [model.start])
    assert rows == {("heat", 0), ("heat", 1)}
