"""What `import faultiso` promises to a notebook, and what it costs."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess

import pytest

import faultiso as package
from faultiso.base.problems import FaultisoError, InvalidModel, UsageError

Run = Callable[..., CompletedProcess[bytes]]

HEAVY = {
    "numpy",
    "networkx",
    "pgmpy",
    "pandas",
    "matplotlib",
    "prompt_toolkit",
    "rich",
    "yaml",
    "pydantic",
    "typer",
}

BIF = """network pump { }
variable worn { type discrete [ 2 ] { absent, present }; }
variable gauge { type discrete [ 2 ] { normal, low }; }
probability ( worn ) { table 0.9, 0.1; }
probability ( gauge | worn ) { (absent) 0.98, 0.02; (present) 0.05, 0.95; }
"""
ROLES = {"faults": ["worn"], "checks": {"gauge": 10}}


def test_every_promised_name_is_there() -> None:
    assert {"load_model", "read_network", "Advisor", "Reasoner"} <= set(package.__all__)
    for name in package.__all__:
        assert getattr(package, name) is not None
        assert name in dir(package)
    with pytest.raises(AttributeError, match="has no attribute 'load_modle'"):
        _ = package.load_modle


def test_importing_it_imports_nothing_else_that_takes_time(faultiso: Run) -> None:
    code = "import sys, faultiso; print(*sys.modules, sep='\\n')"
    loaded = faultiso(code=code).stdout.decode().split()
    assert {name.partition(".")[0] for name in loaded} & HEAVY == set()
    assert [name for name in loaded if name.startswith("faultiso.")] == []


def test_a_model_says_what_it_believes() -> None:
    belief = package.load_model("workshop-power-cart").believe(
        {"lamp_test": "low pressure dark"}, {"mains": "on"}
    )
    assert max(belief.faults.values()) == next(iter(belief.faults.values()))
    assert next(iter(belief.faults)) == "low_pressure_lamp.dead"
    assert sum(diagnosis.probability for diagnosis in belief.diagnoses) == pytest.approx(1, abs=0.01)
    assert math.isfinite(belief.surprise_bits)
    first = belief.rank_checks()[0]
    assert first.name and first.minutes >= 0 and first.gain_bits[0] <= first.gain_bits[1]


def test_a_plain_network_says_the_same_kind_of_things(tmp_path: Path) -> None:
    network, roles = tmp_path / "pump.bif", tmp_path / "roles.json"
    network.write_text(BIF, encoding="utf-8")
    roles.write_text(json.dumps(ROLES), encoding="utf-8")
    reasoner = package.read_network(network, roles)
    belief = reasoner.believe({"gauge": "low"})
    assert belief.faults["worn"] == pytest.approx(0.1 * 0.95 / (0.1 * 0.95 + 0.9 * 0.02))
    assert belief.diagnoses[0].faults == ("worn",)
    assert belief.surprise_bits == pytest.approx(0, abs=1e-12)
    (check,) = reasoner.believe({}).rank_checks()
    assert (check.name, check.minutes) == ("gauge", 10)


def test_what_goes_wrong_is_told_to_the_caller(tmp_path: Path) -> None:
    with pytest.raises(UsageError):
        package.load_model("no-such-model")
    bad = tmp_path / "bad.yaml"
    bad.write_text("model: bad\nqantities: {}\n", encoding="utf-8")
    with pytest.raises(InvalidModel, match=r"bad\.yaml"):
        package.load_model(bad)
    with pytest.raises(FaultisoError):
        package.read_network(tmp_path / "none.bif", tmp_path / "none.json")
