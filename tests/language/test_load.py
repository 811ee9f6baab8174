"""A correct file becomes a complete Model: what every section says, what is filled in, where it stands."""

from __future__ import annotations

import dataclasses
import hashlib
import pickle
import subprocess
import sys

import pytest

from faultiso.base.problems import InvalidModel, UsageError
from faultiso.language.load import load, load_text, read_model
from faultiso.language.shipped import find_model, shipped_models
from faultiso.model.parts import LeftBehind, Rule
from tests.language.frame import HEAD, MODELS, SMALL, codes, load_fragment

FILES = [SMALL, *sorted(shipped_models().values())]


@pytest.fixture(scope="module")
def small():
    loaded = load(SMALL)
    assert loaded.problems == ()
    return loaded.model


def model_of(fragment):
    loaded = load_fragment(fragment, lint=False)
    assert loaded.problems == ()
    return loaded.model


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_shipped_models_have_no_error(path):
    loaded = load(path)
    assert [str(problem) for problem in loaded.errors] == []
    assert read_model(path) == loaded.model


def test_head(small):
    assert (small.name, small.title, small.subject) == ("small-cart", "small pump cart", "training_rig")
    assert (small.review.author, small.review.version, small.review.state) == ("A. Nother", "0.1", "draft")
    assert small.one_fault is False
    assert small.digest == hashlib.sha256(SMALL.read_bytes()).hexdigest()
    assert small.file == str(SMALL)


def test_situations_are_complete(small):
    assert small.situations["at_work"].values == {"motor": "running", "power": "on"}
    assert small.start == {"motor": "stopped", "power": "on"}


def test_conditions(small):
    change = small.conditions["motor"].changes["running"]
    assert (change.minutes, change.people, change.who) == (3.0, 2, "run_qualified")
    assert change.hazards == ("hot_fluid",)
    assert small.conditions["power"].must_restore
    assert small.conditions["power"].title == "power"


def test_faults(small):
    sheared = small.faults["pump.sheared"]
    assert (sheared.rate, sheared.component, sheared.caused_by) == (3e-6, "pump", {"filter.clogged": 0.1})
    loose = small.faults["lamp.loose"].intermittent
    assert (loose.brought_out_by, loose.share, loose.otherwise) == (({"motor": ("running",)},), 0.7, 0.0)
    assert small.components["pump"].access == ("panel_1",)


@pytest.mark.parametrize(
    ("said", "word"),
    [("critical", "critical"), ("I", "catastrophic"), ("III", "marginal"), ("IV", "minor")],
)
def test_severity(small, said, word):
    model = model_of(f"components: {{a: {{faults: {{b: {{rate: 1e-6, severity: {said}}}}}}}}}")
    assert model.faults["a.b"].severity == word
    assert small.faults["pump.sheared"].severity == "critical" and small.faults["pump.worn"].severity == ""


def test_another_severity_is_refused_with_the_nearest():
    (problem,) = load_fragment("components: {a: {faults: {b: {rate: 1, severity: criticl}}}}", False).problems
    assert "catastrophic, critical, marginal, minor, I, II, III or IV" in str(problem)
    assert problem.nearest == "critical"


def test_quantities(small):
    pressure, drop = small.quantities["pressure"], small.quantities["filter_drop"]
    assert pressure.levels == ("normal", "low", "none")
    assert pressure.ranges["low"] == (300.0, 1850.0)
    assert [rule.then for rule in pressure.rules] == ["none", "none"]
    assert pressure.causes[0].responses[0].gives == {"present": {"low": 0.9}}
    assert pressure.leak == {"low": 0.001}
    assert drop.causes[0].responses[0].when == {"motor": ("running",)}
    assert drop.causes[1].responses[0].gives == {"low": {"high": 0.01}}


def test_indications(small):
    light, gauge = small.indications["pressure_light"], small.indications["gauge"]
    assert (light.delay, light.misread, light.place) == (20.0, 0.001, "bay")
    assert light.rules[4].when == {"pressure": ("low", "none")}
    assert light.rules[-1].when == {}
    assert gauge.outcomes == ("normal", "low", "none")
    assert (gauge.unit, gauge.tolerance, gauge.ranges["none"]) == ("psi", 40.0, (0.0, 50.0))


def test_checks(small):
    gauge, tap = small.checks["port_gauge"], small.checks["tap_lamp"]
    assert [rule.like for rule in gauge.rules] == ["pressure"]
    assert gauge.work.needs == ({"motor": ("running",)},)
    assert (gauge.work.equipment, gauge.work.who, gauge.work.people) == (("test_gauge",), "run_qualified", 2)
    assert (gauge.miss, gauge.false_alarm, gauge.unit) == (0.02, 0.0, "psi")
    assert tap.outcomes == ("absent", "present")
    assert small.checks["lamp_test"].outcomes == ("all lit", "one dark")


def test_repairs(small):
    repair = small.repairs["replace_pump"]
    assert repair.clears == ("pump.worn", "pump.sheared")
    assert (repair.component, repair.fails, repair.work.minutes) == ("pump", 0.01, 120.0)
    assert repair.verification.checks == ("port_gauge",)
    assert small.repairs["replace_lamp"].clears == ("lamp.dead", "lamp.loose")


def test_flow_and_deferrals(small):
    assert [(link.source, link.target, link.carries) for link in small.flow] == [
        ("pump", "filter", "fluid"),
        ("lamp", "pump", "power"),
    ]
    assert small.deferrals["lamp_line"].covers == ("lamp.dead", "lamp.loose")


def test_every_part_knows_its_line(small):
    lines = SMALL.read_text("utf-8").splitlines()
    for section in (small.components, small.quantities, small.indications, small.checks, small.repairs):
        for name, part in section.items():
            assert lines[part.where.line - 1][part.where.column - 1 :].startswith(name)
            assert part.where.length == len(name)


def test_a_model_is_plain_data_and_can_be_pickled(small):
    assert pickle.loads(pickle.dumps(small)) == small
    assert {type(text) for text in texts_in(small)} == {str}


def texts_in(value):
    """Every text in a tree of dataclasses, mappings and tuples."""
    if dataclasses.is_dataclass(value):
        return [text for field in dataclasses.fields(value) for text in texts_in(getattr(value, field.name))]
    if isinstance(value, dict):
        return [text for item in value.items() for part in item for text in texts_in(part)]
    if isinstance(value, tuple):
        return [text for part in value for text in texts_in(part)]
    return [value] if isinstance(value, str) else []


def test_text_stays_text():
    model = model_of("""
        version: 012
        conditions: {switch: {values: [off, on, 1e-6, 1:30, null, yes]}}
    """)
    assert model.conditions["switch"].values == ("off", "on", "1e-6", "1:30", "null", "yes")
    assert model.review.version == "012"


def test_work_of_all_kinds():
    model = model_of("""
        conditions: {valve: {values: [open, shut]}, motor: {values: [off, on]}}
        components:
          a: {faults: {bad: {rate: 1e-5}, loose: {rate: 0}}}
          b: {}
        quantities: {level: {levels: [full, low], leak: {low: 0.1}, remember: yes}}
        checks:
          look:
            reads: a.bad
            needs: [{motor: on, valve: [open, shut]}, {motor: off}]
            sets: {valve: shut}
            disturbs: {a.loose: 0.5}
            swaps: [a, b]
            may_leave: {a.loose: 0.02}
            resets: level
          swap: {reads: a.bad, swaps: [[a, b], [b, spare]]}
    """)
    work = model.checks["look"].work
    assert work.needs == ({"motor": ("on",), "valve": ("open", "shut")}, {"motor": ("off",)})
    assert (work.sets, work.disturbs, work.swaps) == ({"valve": "shut"}, {"a.loose": 0.5}, (("a", "b"),))
    assert (work.may_leave, work.resets) == ((LeftBehind("a.loose", 0.02),), ("level",))
    assert model.checks["swap"].work.swaps == (("a", "b"), ("b", "spare"))


def test_what_is_read_gives_outcomes_unit_and_words_through_a_chain():
    model = model_of("""
        components: {pump: {faults: {worn: {rate: 1e-5}}}}
        quantities:
          pressure:
            levels: [normal, low]
            unit: psi
            ranges: {normal: [2620, 2780], low: [300, 2500]}
            level_titles: {low: too low}
            causes: [{fault: pump.worn, gives: {low: 0.9}}]
        indications:
          gauge:
            kind: gauge
            tolerance: 40
            rules: [{when: {pump.worn: present}, then: dashes}, {like: pressure}]
          copy: {kind: gauge, reads: gauge, outcomes: [low, normal, dashes]}
        checks:
          look: {reads: copy, tolerance: 5}
    """)
    gauge, copy, look = model.indications["gauge"], model.indications["copy"], model.checks["look"]
    assert gauge.outcomes == ("normal", "low", "dashes")
    assert copy.outcomes == look.outcomes == ("low", "normal", "dashes")
    assert look.ranges == copy.ranges == gauge.ranges == {"normal": (2620.0, 2780.0), "low": (300.0, 2500.0)}
    assert (gauge.tolerance, copy.tolerance, look.tolerance) == (40.0, 40.0, 5.0)
    assert (look.unit, look.outcome_titles) == ("psi", {"low": "too low"})
    assert copy.rules == (Rule(like="gauge", where=copy.rules[0].where),)


def test_an_outcome_that_an_earlier_row_has_settled_need_not_be_shown():
    model = model_of("""
        components: {pump: {faults: {worn: {rate: 1e-5}}}}
        quantities:
          hot: {levels: [no, warm, yes], causes: [{fault: pump.worn, gives: {yes: 0.5, warm: 0.5}}]}
        indications:
          light: {kind: light, outcomes: [no, yes], rules: [{when: {hot: warm}, then: yes}, {like: hot}]}
    """)
    assert model.indications["light"].outcomes == ("no", "yes")


def test_a_case_holds_within_the_conditions_of_its_cause():
    model = model_of("""
        conditions: {motor: {values: [off, on]}, cold: {values: [no, yes]}}
        components: {pump: {faults: {worn: {rate: 1e-5}}}}
        quantities:
          a:
            levels: [ok, low]
            causes:
              - fault: pump.worn
                when: {motor: on}
                cases: [{when: {cold: yes}, gives: {low: 1}}, {gives: {low: 0.5}}]
    """)
    assert [response.when for response in model.quantities["a"].causes[0].responses] == [
        {"motor": ("on",), "cold": ("yes",)},
        {"motor": ("on",)},
    ]


def test_misread_of_the_model_is_that_of_its_indications():
    model = model_of("""
        misread: 0.01
        quantities: {a: {levels: [ok, low], leak: {low: 0.1}}}
        indications: {b: {kind: gauge, reads: a}, c: {kind: gauge, reads: a, misread: 0.5}}
    """)
    assert (model.indications["b"].misread, model.indications["c"].misread) == (0.01, 0.5)


@pytest.mark.parametrize(
    ("text", "seconds"), [("20 s", 20), ("2 min", 120), ("1.5 h", 5400), ("1 minute", 60)]
)
def test_delay(text, seconds):
    model = model_of(f"""
        quantities: {{a: {{levels: [ok, low], leak: {{low: 0.1}}}}}}
        indications: {{b: {{kind: gauge, reads: a, delay: {text}}}}}
    """)
    assert model.indications["b"].delay == seconds


@pytest.mark.parametrize(("word", "value"), [("yes", True), ("no", False), ("true", True), ("False", False)])
def test_yes_and_no(word, value):
    assert model_of(f"components: {{a: {{replaceable: {word}}}}}").components["a"].replaceable is value


def test_problems_come_once_and_in_file_order():
    loaded = load_fragment("zones: {B: {}, a: {colour: red}}\npeople: {C: {}}")
    places = [(problem.where.line, problem.where.column) for problem in loaded.problems]
    assert places == sorted(places)
    assert len(places) == len(set(places)) == 3


def test_a_slip_in_a_name_does_not_hide_what_is_wrong_with_the_sense():
    fragment = """
        components: {pump: {faults: {worn: {rate: 1e-5, source: x}, stuck: {rate: 1e-5, source: x}}}}
        checks: {look: {reads: pump.wron}}
        repairs: {mend: {clears: pump}}
    """
    loaded = load_fragment(fragment)
    assert codes(loaded) == ["unrevealed", "name"]  # of pump.stuck; that of pump.worn is only an echo
    assert "pump.stuck" in loaded.problems[0].message


def test_read_model_raises_with_all_errors():
    with pytest.raises(InvalidModel) as caught:
        read_model(MODELS / "no_such_model.yaml")
    assert [problem.code for problem in caught.value.problems] == ["file"]


@pytest.mark.parametrize("name", ["no/such.yaml", ".", "a\0b", "x" * 5000, ""])
def test_a_file_that_is_none(name):
    loaded = load(name)
    assert loaded.model is None
    assert codes(loaded) == ["file"]


def test_windows_line_ends_and_a_byte_order_mark(tmp_path):
    path = tmp_path / "small.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + SMALL.read_bytes().replace(b"\n", b"\r\n"))
    loaded = load(path)
    assert loaded.problems == ()
    assert loaded.model.checks["port_gauge"].where.line == load(SMALL).model.checks["port_gauge"].where.line


def test_a_lone_surrogate_in_a_text_is_an_error():
    assert codes(load_text(HEAD + "about: \ud800")) == ["encoding"]


def test_shipped_models_are_found_by_name():
    models = shipped_models()
    assert set(models) == {
        path.stem for path in MODELS.glob("*.yaml") if not path.name.endswith(".part.yaml")
    }
    for name, path in models.items():
        assert find_model(name) == path
    assert find_model(str(SMALL)) == SMALL


def test_an_unknown_name_is_told_with_the_nearest():
    with pytest.raises(UsageError, match="nearest: workshop-power-cart"):
        find_model("workshop_power_crt")
    with pytest.raises(UsageError, match="no model file"):
        find_model("a\0b")


def test_reading_imports_no_slow_library_and_no_lint_that_is_not_asked_for():
    """A first prompt must come at once."""
    slow = {"numpy", "networkx", "matplotlib", "pgmpy", "pandas", "pydantic", "faultiso.language.lints.hands"}
    program = (
        "import sys; from faultiso.language.load import read_model; read_model(sys.argv[1]); "
        f"print({slow} & set(sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, str(SMALL)], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "set()"


@pytest.mark.parametrize(
    "fragment",
    [
        "checks: {look: {outcomes: [ok, bad], rules: [{when: {look: bad}, then: bad}, {then: ok}]}}",
        "components: {a: {faults: {bad: {rate: 1e-5, caused_by: {b.bad: 0.1}}}}}",
        "quantities: {a: {levels: [ok, bad], rules: [{like: b}], causes: [{quantity: c, gives: {d: {bad: 1}}}]}}",
        "checks: {look: {reads: nothing}}",
        "repairs: {mend: {clears: nothing}}",
        "situations: {s: {set: {nothing: no}}}",
    ],
)
def test_the_sense_can_be_judged_with_names_that_stand_for_nothing(fragment):
    loaded = load_fragment(fragment)
    assert loaded.model is None
    assert {"name", "level"} & set(codes(loaded))


def test_an_overlap_is_told_once_at_the_quantity_that_has_the_ranges():
    loaded = load_fragment("""
        quantities:
          a: {levels: [ok, low], unit: psi, ranges: {ok: [100, 200], low: [10, 150]}, leak: {low: 0.1}}
        indications: {gauge: {kind: gauge, reads: a}}
        checks: {look: {reads: a}}
    """)
    assert codes(loaded) == ["ranges"]
    assert loaded.problems[0].message.startswith("the ranges of a overlap")


def test_what_every_repair_needs_is_said_once():
    """A repair that says something else of a condition keeps its own word, in each of its alternatives."""
    text = SMALL.read_text(encoding="utf-8").replace(
        "\nconditions:\n", "\nrepairs_need: {motor: stopped}\nconditions:\n"
    )
    plain, with_it = load_text(SMALL.read_text(encoding="utf-8")).model, load_text(text).model
    for name, repair in with_it.repairs.items():
        before = plain.repairs[name].work.needs or ({},)
        assert repair.work.needs == tuple({"motor": ("stopped",), **match} for match in before)
    assert any(
        repair.work.needs != plain.repairs[name].work.needs for name, repair in with_it.repairs.items()
    )


def test_what_every_repair_needs_has_to_be_there():
    text = SMALL.read_text(encoding="utf-8").replace(
        "\nconditions:\n", "\nrepairs_need: {moter: stopped}\nconditions:\n"
    )
    (problem,) = load_text(text, lint=False).errors
    assert "moter" in str(problem) and "motor" in str(problem)
