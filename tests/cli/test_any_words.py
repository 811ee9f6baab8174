"""Whatever is typed behind ``faultiso``: an exit code, never an exception."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from faultiso.cli.app import run

KNOWN = [
    "model", "check", "list", "show", "rank", "where", "resume", "hand-in", "help", "--help", "--json", "--plain",
    "--flow", "--causes", "--inhibits", "--normal", "at_pressure", "--observe", "pump_sound=even", "=", "--set",
    "--situation", "--others", "--", "-", "", ".", "nk", "workshop-power-cart", "--roles", "--version",
]  # fmt: skip


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=40)
@given(words=st.lists(st.sampled_from(KNOWN) | st.text(max_size=12), max_size=6))
def test_any_words_give_a_code(
    words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("FAULTISO_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("FAULTISO_PLAIN", "")
    assert run(words) in (0, 1, 2)
    out, err = capsys.readouterr()
    assert "Traceback" not in err and "fault of the program" not in err
    assert "\x1b" not in out + err
