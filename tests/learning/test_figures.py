"""Which figures there are, where they stand, and models with other figures."""

from __future__ import annotations

import pytest

from faultiso.learning.figures import figures, with_values
from tests.learning.shop import read, rig

ODD = """
model: odd
title: odd
subject: generic
conditions: {motor: {values: [stopped, running]}}
components: {a: {faults: {x: {rate: 0}, y: {rate: 1e-4}}}}
quantities:
  q:
    levels: [normal, low]
    causes:
      - fault: a.x
        cases: [{when: {motor: stopped}, gives: {low: 0.2}}, {gives: {low: 0.4}}]
      - fault: a.y
        cases: [{when: {motor: stopped}, gives: {low: 0.3}}, {gives: {low: 0.3}}]
  r:
    levels: [normal, low]
    causes: [{quantity: q, gives: {low: {low: 1}}}, {fault: a.y, gives: {normal: 0.6, low: 0.4}}]
indications: {light: {kind: light, reads: r}}
"""


def test_the_figures_of_a_rig() -> None:
    learnt, left = figures(rig())
    assert [figure.name for figure in learnt] == [
        "pump.worn rate", "pump.seal rate", "relief.open rate", "pump.worn gives pressure low",
        "relief.open gives pressure low", "pump.seal gives wet wet", "port miss", "port false alarm",
    ]  # fmt: skip
    assert left == ()


def test_what_cannot_be_learnt_is_named() -> None:
    learnt, left = figures(read(ODD))
    assert [figure.name for figure in learnt] == ["a.y rate", "a.y gives q low"]
    assert [len(figure.paths) for figure in learnt] == [1, 2]
    assert {each.name: each.reason.split(";")[0] for each in left} == {
        "a.x rate": "stated as never or always",
        "a.x gives q": "what it gives differs from one condition or level to another",
        "q gives r low": "stated as never or always",
        "a.y gives r": "the chance of the quiet level is stated beside it",
    }


def test_the_same_values_make_the_same_model_and_others_come_back() -> None:
    model = rig()
    learnt = figures(model)[0]
    assert with_values(model, {figure: figure.value for figure in learnt}) == model
    other = with_values(model, {figure: figure.value / 2 for figure in learnt})
    assert [figure.value for figure in figures(other)[0]] == pytest.approx([f.value / 2 for f in learnt])


def test_chances_that_pass_one_together_are_scaled() -> None:
    model = read(ODD.replace("levels: [normal, low]\n    causes: [{q", "levels: [normal, low, none]\n    causes: [{q")
                 .replace("gives: {normal: 0.6, low: 0.4}", "gives: {low: 0.4, none: 0.2}"))  # fmt: skip
    two = [figure for figure in figures(model)[0] if figure.of == "r"]
    found = (
        with_values(model, dict.fromkeys(two, 0.9)).quantities["r"].causes[1].responses[0].gives["present"]
    )
    assert found == pytest.approx({"low": 0.5, "none": 0.5})
