"""Detection methods: which are indications and which checks, and what they show."""

from __future__ import annotations

from pathlib import Path

import pytest

from faultiso.drafting.tables.detection import STRENGTH, kind_of_method
from faultiso.drafting.tables.draft import Sign
from tests.drafting.tables.frame import made

HEAD = "item,failure mode,local,next higher level,end effects,detection,severity,rate"


def signs(folder: Path, *rows: str) -> dict[str, Sign]:
    result, loaded = made(folder, "\n".join([HEAD, *rows]))
    assert loaded.errors == ()
    return {sign.name: sign for sign in result.draft.signs}


@pytest.mark.parametrize(
    ("title", "kind"),
    [("low-pressure light", "light"), ("Pressure gauge", "gauge"), ("fault message", "message"),
     ("grinding noise", "sound"), ("puddle under the cart", "trace"), ("clogging button", "button"),
     ("lamp test", ""), ("measure the case flow", ""), ("inspection", ""), ("fluid sample", ""),
     ("gauge fitted for a leak check", ""), ("ask the crew", "")],
)  # fmt: skip
def test_which_is_what(title: str, kind: str) -> None:
    assert kind_of_method(title) == (title, kind)


def test_a_kind_in_brackets_is_that_and_no_part_of_the_title(tmp_path: Path) -> None:
    assert kind_of_method("rush at the valve (Sound)") == ("rush at the valve", "sound")
    assert kind_of_method("look at the gauge (gauge)") == ("look at the gauge", "gauge")
    assert kind_of_method("pressure gauge (check)") == ("pressure gauge", "")
    assert kind_of_method("gauge (left)") == ("gauge (left)", "gauge")
    found = signs(tmp_path, "pump,worn,,,,rush (sound): loud,,1e-6")
    assert (found["rush"].title, found["rush"].kind, found["rush"].levels) == (
        "rush",
        "sound",
        ("silent", "loud"),
    )


def test_what_they_show_when_it_is_not_said(tmp_path: Path) -> None:
    found = signs(
        tmp_path,
        "pump,worn,low output,Pressure low,slow,Pressure gauge; pressure light; case flow measured,II,1e-6",
        "pump,torn,,,stands still,pressure gauge; case flow measured,,2e-6",
        "valve,stuck,,,,pressure gauge,IV,1e-6",
    )
    assert found["pressure_gauge"].levels == ("normal", "stands still", "stuck", "Pressure low")
    assert found["pressure_light"].levels == ("out", "lit")
    assert found["case_flow_measured"].levels == ("as usual", "stands still", "low output")
    assert {effect.chance for sign in found.values() for effect in sign.effects} == {STRENGTH}


def test_what_they_show_when_it_is_said(tmp_path: Path) -> None:
    found = signs(
        tmp_path,
        "lamp,dead,,,,light: out,,1e-6",
        "switch,stuck,,,,LIGHT: lit,,1e-6",
        "relay,stuck,,,,light: Lit,,1e-6",
    )
    (light,) = found.values()
    assert light.levels == ("as usual", "out", "lit")
    assert [(effect.fault, effect.level) for effect in light.effects] == [
        ("lamp.dead", "out"),
        ("switch.stuck", "lit"),
        ("relay.stuck", "lit"),
    ]


@pytest.mark.parametrize(
    "said", ["power light goes out", "Power light, not lit", "power light off", "power light: out"]
)
def test_a_light_that_goes_out_is_lit_as_usual(tmp_path: Path, said: str) -> None:
    (light,) = signs(tmp_path, f'breaker,open,,,,"{said}",,1e-6').values()
    assert (light.title.casefold(), light.kind, light.levels) == ("power light", "light", ("lit", "out"))


def test_a_light_whose_name_only_sounds_like_it_is_lit_by_its_fault(tmp_path: Path) -> None:
    (light,) = signs(tmp_path, "pump,hot,,,,cut-out light,,1e-6").values()
    assert (light.title, light.levels) == ("cut-out light", ("out", "lit"))


@pytest.mark.parametrize("nothing", ["", "none", "N/A", "Not detected.", "-"])
def test_what_nothing_detects_gets_an_inspection_and_is_told(tmp_path: Path, nothing: str) -> None:
    result, loaded = made(tmp_path, f"{HEAD}\npump,worn,,,,{nothing},,1e-6\n")
    (sign,) = result.draft.signs
    assert loaded.errors == () and (sign.kind, sign.levels) == ("", ("as usual", "worn"))
    assert result.told == (
        'nothing detects what stands in line 2: the check "inspect the pump" was added, 60 min',
    )


def test_levels_are_short_and_can_be_typed(tmp_path: Path) -> None:
    found = signs(tmp_path, f"pump,worn,{'very ' * 40}low,p=1@2,,gauge; look at it,,1e-6")
    assert found["gauge"].levels == ("normal", "p 1 2")
    assert len(found["look_at_it"].levels[1]) <= 60 and found["look_at_it"].levels[1].endswith("very...")


def test_phases_become_a_condition(tmp_path: Path) -> None:
    text = "item,mode,phase,detection,rate\npump,worn,lifting,gauge,1e-6\nhose,cut,at rest,gauge,1e-6\n"
    _, loaded = made(tmp_path, text + "lamp,dead,all,lamp test,1e-6\n")
    model = loaded.model
    assert model is not None and model.conditions["phase"].values == ("lifting", "at_rest")
    responses = [c.responses[0].when for c in model.quantities["gauge_state"].causes]
    assert responses == [{"phase": ("lifting",)}, {"phase": ("at_rest",)}]
    assert model.quantities["lamp_test_state"].causes[0].responses[0].when == {}


def test_a_single_phase_is_no_condition(tmp_path: Path) -> None:
    result, loaded = made(tmp_path, "item,mode,phase,rate\npump,worn,lifting,1e-6\n")
    assert loaded.model is not None and not loaded.model.conditions
    assert result.told[0] == 'all rows that name a phase name "lifting": no condition was made'
