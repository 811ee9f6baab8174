"""What is imported before anybody has said anything: start-up is a feature."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess

import pytest

Run = Callable[..., CompletedProcess[bytes]]

HEAVY = {
    "numpy",
    "networkx",
    "pgmpy",
    "pandas",
    "scipy",
    "matplotlib",
    "prompt_toolkit",
    "rich",
    "yaml",
    "pydantic",
    "typer",
    "nacl",
}

LOADED = """
import sys
from faultiso.cli.app import run
run(sys.argv[1:])
names = {name.partition(".")[0] for name in sys.modules}
sys.stderr.write("\\nloaded " + " ".join(sorted(names)) + "\\n")
"""


def loaded_by(faultiso: Run, *words: str, **environment: str) -> set[str]:
    """The top-level modules that are there after the program has run with these words and no answers."""
    last = faultiso(*words, code=LOADED, **environment).stderr.decode().splitlines()[-1]
    assert last.startswith("loaded ")
    return set(last.split()[1:])


@pytest.mark.parametrize("words", [(), ("--help",), ("help",), ("--version",), ("no-such-command",)])
def test_the_help_imports_nothing_that_takes_time(faultiso: Run, words: tuple[str, ...]) -> None:
    assert loaded_by(faultiso, *words) & HEAVY == set()


def test_a_command_imports_only_what_it_uses(faultiso: Run) -> None:
    loaded = loaded_by(faultiso, "model", "check", "--help")
    assert loaded & HEAVY == {"typer"}
    loaded = loaded_by(faultiso, "model", "list")
    assert loaded & (HEAVY - {"typer", "yaml"}) == set()


def test_reasoning_needs_only_arrays(faultiso: Run) -> None:
    loaded = loaded_by(faultiso, "rank", "workshop-power-cart", "--observe", "fluid_under_cart=below_pump")
    assert "numpy" in loaded
    assert loaded & (HEAVY - {"typer", "yaml", "numpy"}) == set()


def test_a_session_begins_without_graphs_tables_and_plots(faultiso: Run, tmp_path: Path) -> None:
    loaded = loaded_by(faultiso, "isolate", "workshop-power-cart", FAULTISO_HOME=str(tmp_path))
    assert {"typer", "yaml"} <= loaded
    assert loaded & (HEAVY - {"typer", "yaml", "numpy"}) == set()


def test_practice_asks_its_first_question_with_arrays_and_no_more(faultiso: Run, tmp_path: Path) -> None:
    """The world of a case is drawn before anything is written, so that a case that cannot be is told at once."""
    for mode in ("quiet", "coached"):
        loaded = loaded_by(faultiso, "practice", "hot-cart", "--mode", mode, FAULTISO_HOME=str(tmp_path))
        assert loaded & (HEAVY - {"typer", "yaml", "numpy"}) == set()
        assert "jinja2" not in loaded


AT_THE_WRITE_UP = """
import sys
from faultiso.cli.app import run
from faultiso.practice import opening

def stop(*_):
    names = {name.partition(".")[0] for name in sys.modules}
    sys.stderr.write("\\nloaded " + " ".join(sorted(names)) + "\\n")
    sys.stderr.flush()
    raise SystemExit

opening.opened = stop
run(sys.argv[1:])
"""


def test_the_write_up_is_told_before_anything_is_loaded(faultiso: Run, tmp_path: Path) -> None:
    done = faultiso("practice", "first-light", code=AT_THE_WRITE_UP, FAULTISO_HOME=str(tmp_path))
    told, last = done.stderr.decode().rstrip().rsplit("\n", 1)
    assert "Pump 1 caution stayed on at idle." in told and "not approved maintenance data" in told
    assert set(last.split()[1:]) & (HEAVY - {"typer", "yaml"}) == set()
