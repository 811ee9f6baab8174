"""A failure-modes table as a model: valid whatever stands in it, nothing lost, and back again from the model."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from faultiso.base.text import one_line
from faultiso.drafting.tables import draft, fmea_model, worksheet
from faultiso.drafting.tables.fmea_table import HEADS, fmea_rows
from faultiso.drafting.tables.modes import read_modes
from faultiso.drafting.tables.rates import Rates
from faultiso.language.load import load_text, read_model
from faultiso.language.schema import json_schema
from faultiso.language.shipped import find_model, shipped_models
from faultiso.report.csv_safe import csv_text
from tests.drafting.tables.frame import made
from tests.language.frame import SMALL
from tests.language.test_schema import as_json

VALIDATOR = Draft202012Validator(json_schema())
#: signs that no text has are refused, and what begins a terminal's control sequence takes the next sign with it
NO_TEXT = "\0\ufffd\x1b\x90\x98\x9b\x9d\x9e\x9f"
ANY = st.characters(codec="utf-8", exclude_categories=["Cs"], exclude_characters=NO_TEXT)
WORDS = st.text(ANY, max_size=12) | st.sampled_from(
    [
        "none",
        "=1+1",
        "@x",
        "light",
        "gauge: low",
        "no",
        "nk",
        "a: b",
        "lamp test; gauge",
        "I",
        "phase",
        "- x",
        "'",
    ]
)
NAMES = (
    "item",
    "function",
    "mode",
    "cause",
    "phase",
    "local",
    "next",
    "end",
    "detection",
    "remarks",
    "source",
)
ROW = st.fixed_dictionaries(dict.fromkeys(NAMES, WORDS))


@given(st.lists(ROW, min_size=1, max_size=5))
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_any_texts_give_a_valid_model_with_all_of_them(tmp_path: Path, rows: list[dict[str, str]]) -> None:
    heads = [next(c.titles[0] for c in worksheet.COLUMNS if c.name == name) for name in NAMES]
    cells = [
        [*(f"{row[name]}{number}" if name in ("item", "mode") else row[name] for name in NAMES), 1e-6]
        for number, row in enumerate(rows)
    ]
    result, loaded = made(tmp_path, csv_text((*heads, "failure rate"), cells))
    assert [str(problem) for problem in loaded.errors] == []
    model = loaded.model
    assert model is not None and len(model.faults) == len(rows)
    text = draft.draft_text(result.draft, "shop.schema.json")
    assert not list(VALIDATOR.iter_errors(as_json(yaml.load(text, yaml.CSafeLoader))))
    for row, fault in zip(cells, model.faults.values(), strict=True):
        assert (fault.rate, fault.title) == (1e-6, one_line(str(row[2])))
        assert model.components[fault.component].title == one_line(str(row[0]))


def test_what_has_no_key_stands_as_a_comment_and_is_told(tmp_path: Path) -> None:
    head = "System: Shop lift\nCompiled by,bench 1\nSheet,1 of 2\nitem,mode,rate,remarks,beta,mine\n"
    result, loaded = made(tmp_path, f"{head}a,b,1e-6,watch it,0.3,x\nc,d,1e-6,,1,\n")
    text = draft.draft_text(result.draft, "s")
    assert result.told[-4:] == (
        "remarks: no key of the language; stands as a comment (line 5)",
        "beta: no key of the language; stands as a comment (line 5, 6)",
        "mine: no key of the language; stands as a comment (line 5)",
        "above the heads: Sheet, 1 of 2",
    )
    assert all(f"      # {said}" in text for said in ("remarks: watch it", "beta: 0.3", "mine: x"))
    assert loaded.model is not None
    assert (loaded.model.title, loaded.model.review.author) == ("Shop lift", "bench 1")
    assert loaded.model.faults["a.b"].source == "shop.csv, line 5"


def test_a_check_is_made_only_in_the_phases_in_which_it_shows_a_fault(tmp_path: Path) -> None:
    head = "item,mode,operational mode,detection method,rate\n"
    rows = "plug,loose,at pressure,test of the plug: open,1e-6\npump,worn,start,gauge: low; measure flow: low,1e-6\n"
    result, loaded = made(tmp_path, head + rows + "hose,chafed,,measure flow: low,1e-6\n")
    assert loaded.model is not None
    needs = {name: check.work.needs for name, check in loaded.model.checks.items()}
    assert needs["test_of_the_plug"] and "at_pressure" in str(needs["test_of_the_plug"])
    assert not needs["measure_flow"]  # it shows the hose in every phase
    assert "made only in the phases in which they show a fault: test of the plug" in result.told


@pytest.mark.parametrize("path", [SMALL, *shipped_models().values()], ids=lambda path: path.stem)
def test_there_and_back_keeps_faults_rates_modes_and_severity(tmp_path: Path, path: Path) -> None:
    model = read_model(path)
    file = tmp_path / "there.csv"
    file.write_bytes(csv_text(HEADS, fmea_rows(model), model.subject).encode())
    modes = read_modes(file, Rates())
    back = load_text(draft.draft_text(fmea_model.model_of_modes(modes, "back").draft, "s"))
    assert [str(problem) for problem in back.errors] == []
    assert back.model is not None and list(back.model.faults) == list(model.faults)
    for name, fault in model.faults.items():
        again = back.model.faults[name]
        assert again.rate == pytest.approx(fault.rate, rel=1e-12, abs=0)
        assert (again.title, again.severity) == (one_line(fault.title, 2000), fault.severity)
        assert back.model.components[again.component].title == model.components[fault.component].title


def test_what_detects_a_fault_is_what_it_alone_would_show() -> None:
    model = read_model(find_model("workshop-power-cart"))
    rows = {row[HEADS.index("model name")]: row for row in fmea_rows(model)}
    methods = str(rows["return_filter.clogged"][HEADS.index("failure detection method")]).split("; ")
    assert "loss dial of the return filter: high" in methods
    assert not any("pressure gauge" in method for method in methods)
    assert rows["contactor.welded"][HEADS.index("mission phase/operational mode")] != "none"
