"""What all tests share: golden files, a quiet environment, settings for property tests."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

GOLDEN = Path(__file__).parent / "golden"
ROOT = Path(__file__).parent.parent

# The machines that run this are shared: how long an example takes says nothing. Examples are the same in each run,
# so that a change is judged by itself; new ones are looked for by --explore.
settings.register_profile(
    "same", deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow], derandomize=True
)
settings.register_profile("new", parent=settings.get_profile("same"), derandomize=False, print_blob=True)
settings.load_profile("same")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--update-golden", action="store_true", help="write the golden files anew; then read the diff"
    )
    parser.addoption("--explore", action="store_true", help="property tests look for new examples")


def pytest_configure(config: pytest.Config) -> None:
    if config.getoption("--explore"):
        settings.load_profile("new")


@pytest.fixture(autouse=True)
def quiet_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    """No setting of the person who runs the tests changes what they see."""
    for name in (
        "COLUMNS",
        "NO_COLOR",
        "FAULTISO_PLAIN",
        "FAULTISO_TRACE",
        "FAULTISO_HOME",
        "_FAULTISO_COMPLETE",
    ):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture
def golden(request: pytest.FixtureRequest) -> Callable[[str, str], None]:
    """``golden(name, text)``: the text is that of tests/golden/name; --update-golden writes it."""

    def compare(name: str, text: str) -> None:
        file = GOLDEN / name
        if request.config.getoption("--update-golden"):
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text, encoding="utf-8", newline="\n")
        assert file.exists(), f"no golden file {name}; run pytest --update-golden and read what it writes"
        assert text == file.read_text(encoding="utf-8")

    return compare


@pytest.fixture
def faultiso() -> Callable[..., subprocess.CompletedProcess[bytes]]:
    """``faultiso("model", "list", TERM="dumb")``: the program as its own process, streams as bytes."""

    def run(
        *words: str, input: bytes = b"", code: str = "", **environment: str
    ) -> subprocess.CompletedProcess[bytes]:
        start = ["-c", code] if code else ["-m", "faultiso"]
        path = os.pathsep.join(filter(None, (str(ROOT), os.environ.get("PYTHONPATH", ""))))
        return subprocess.run(
            [sys.executable, *start, *words],
            input=input,
            capture_output=True,
            env={**os.environ, "PYTHONPATH": path, **environment},
            timeout=120,
            check=False,
        )

    return run
