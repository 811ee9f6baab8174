"""The guided start: whatever the answers, a model that is valid, warns of nothing, fits the schema and reasons."""

from __future__ import annotations

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from faultiso.belief.reasoner import Reasoner
from faultiso.drafting.start import KINDS, Answers, kind_of, start_text
from faultiso.drafting.wording import judged
from faultiso.language.load import load_text
from faultiso.language.schema import json_schema
from tests.language.test_schema import as_json

VALIDATOR = Draft202012Validator(json_schema())
TUG = Answers("Towing tug hydraulics", "drive pump", "low pressure light", "motor stopped")
TITLES = st.text(min_size=1, max_size=30).map(lambda text: " ".join(text.split())).filter(
    bool
) | st.sampled_from(
    [
        "no",
        "nk",
        "spare",
        "a: b",
        "- x",
        "# c",
        "{",
        "1e-6",
        "0x1",
        "~",
        "*a",
        "&a",
        "!t",
        "%",
        "'",
        '"',
        "\\",
        "泵",
        "motor",
    ]
)


def plain(title: str) -> bool:
    """What the questions take: texts that cleaning leaves as they are, and that the wording lints like."""
    from faultiso.base.problems import Where
    from faultiso.base.text import one_line

    return one_line(title) == title and not list(judged([(title, Where())]))


@given(TITLES.filter(plain), TITLES.filter(plain), TITLES.filter(plain), st.just("") | TITLES.filter(plain))
@settings(max_examples=150, deadline=None)
def test_any_titles_give_a_model_without_a_word_to_say(title: str, unit: str, sign: str, dark: str) -> None:
    text = start_text(Answers(title, unit, sign, dark), "tug", "tug.schema.json")
    loaded = load_text(text)
    assert [str(problem) for problem in loaded.problems] == []
    model = loaded.model
    assert model is not None and (model.title, len(model.faults)) == (title, 3)
    assert next(part.title for part in model.components.values()) == unit
    assert [part.title for part in model.indications.values()] == [sign]
    assert len(model.conditions) == bool(dark)
    read = as_json(yaml.load(text, yaml.CSafeLoader))
    assert [error.message for error in VALIDATOR.iter_errors(read)] == []


def test_the_start_as_it_is_read() -> None:
    model = load_text(start_text(TUG, "tug", "tug.schema.json")).model
    assert model is not None
    assert model.conditions["motor"].values == ("stopped", "running")
    assert {name: s.values["motor"] for name, s in model.situations.items()} == {
        "at_rest": "stopped",
        "at_work": "running",
    }
    lit = Reasoner(model).believe({"low_pressure_light": "lit"}, situation="at_work")
    assert max(lit.faults, key=lambda name: lit.faults[name]) == "drive_pump.worn"
    dark = Reasoner(model).believe({"low_pressure_light": "out"}, situation="at_rest")
    assert dark.faults["drive_pump.worn"] == pytest.approx(dark.prior_of("drive_pump.worn"), rel=1e-3)


def test_what_is_no_opposite_holds_or_does_not() -> None:
    model = load_text(start_text(Answers("a", "b", "c", "winter mode"), "a", "s")).model
    assert model is not None and model.conditions["winter_mode"].values == ("yes", "no")


@pytest.mark.parametrize(
    ("title", "kind"),
    [("low pressure light", "light"), ("Pressure gauge", "gauge"), ("hum of the motor", "sound"),
     ("fluid leaks", "trace"), ("pump case", ""), ("light of the gauge", "gauge")],
)  # fmt: skip
def test_kinds(title: str, kind: str) -> None:
    assert kind_of(title) == kind and (kind == "" or kind in KINDS)
