"""``faultiso isolate`` as its own process: streams, exit codes, logs, resuming, killing."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from faultiso.base.journal import read, verify

Program = Callable[..., "subprocess.CompletedProcess[bytes]"]
ROOT = Path(__file__).parents[2]

LIGHT = """\
# a low-pressure light that lies
running at pressure, bench at rest
low pressure light
lit
pressure gauge
131 bar

2

replace the low-pressure switch
ready
chapter 29, indicating
verify
ready
out
normal
finish
"""


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return tmp_path / "home of a person"


def _answers(folder: Path, text: str) -> str:
    file = folder / "answers.txt"
    file.write_text(text, encoding="utf-8", newline="\n")
    return str(file)


def _logs(home: Path) -> list[Path]:
    return sorted((home / "sessions").glob("*.jsonl"))


def test_a_whole_session_from_a_file(faultiso: Program, home: Path, tmp_path: Path) -> None:
    done = faultiso(
        "isolate", "workshop-power-cart", "--answers", _answers(tmp_path, LIGHT), FAULTISO_HOME=str(home)
    )
    out, err = done.stdout.decode(), done.stderr.decode()
    assert done.returncode == 0, err
    assert "Rectified and verified: replace the low-pressure switch" in out
    assert "chapter 29, indicating" in out
    assert out.rstrip().endswith("licensed staff.")
    assert "not approved maintenance data" in err.split("\n")[1]
    assert "Prompt" not in out and "Leading now" not in out
    assert verify(_logs(home)[0]) == ()
    assert read(_logs(home)[0])[-1].event == "ended"
    written = (home / "reports" / "0001-workshop-power-cart.txt").read_text(encoding="utf-8")
    assert "Rectified and verified" in written and written.rstrip().endswith("licensed staff.")


def test_json_is_one_ascii_document(faultiso: Program, home: Path, tmp_path: Path) -> None:
    file = _answers(tmp_path, LIGHT)
    done = faultiso("isolate", "workshop-power-cart", "--answers", file, "--json", FAULTISO_HOME=str(home))
    data = json.loads(done.stdout.decode("ascii"))
    assert data["how"] == "rectified and verified"
    assert data["receipt"] in data["receipt"].upper()
    assert data["references"] == ["chapter 29, indicating"]
    assert "not approved maintenance data" in data["notice"]


def test_answers_that_run_out_are_saved_and_gone_on_with(
    faultiso: Program, home: Path, tmp_path: Path
) -> None:
    lines = LIGHT.splitlines(keepends=True)
    environment = {"FAULTISO_HOME": str(home)}
    for end in (3, 8, 13):
        first = faultiso(
            "isolate",
            "workshop-power-cart",
            "--answers",
            _answers(tmp_path, "".join(lines[:end])),
            **environment,
        )
        assert first.returncode == 2
        assert b"Saved." in first.stderr and b"faultiso resume" in first.stderr
        rest = _answers(tmp_path, "".join(lines[end:]))
        second = faultiso("resume", _logs(home)[-1].name[:4], "--answers", rest, **environment)
        assert second.returncode == 0, second.stderr.decode()
        assert b"Rectified and verified" in second.stdout
        assert b"So far: running at pressure, bench at rest: " in b" ".join(second.stderr.split())


def test_readings_from_the_command_line(faultiso: Program, home: Path) -> None:
    done = faultiso(
        "isolate", "workshop-power-cart", "--observe", "low_pressure_light=lit@at_pressure",
        "--observe", "gauge_reading=1900@at_pressure", "--set", "mains=on", "--others", "normal",
        "--json", input=b"why\nquit\n", FAULTISO_HOME=str(home),
    )  # fmt: skip
    assert done.returncode == 0, done.stderr.decode()
    data = json.loads(done.stdout)
    assert data["how"] == "unfinished"
    assert data["complaint"][0] == "low-pressure light lit"
    assert any("says low at any pressure" in title for title, _ in data["leading"])


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (("--observe", "nothing=lit"), "no indication or check is called 'nothing'"),
        (("--observe", "low_pressure_light=blue"), "cannot be 'blue'"),
        (("--observe", "low_pressure_light"), "wants NAME=VALUE"),
        (("--observe", "gauge_reading=2,7"), "2,7"),
        (("--observe", "gauge_reading=99999"), "fits no level"),
        (("--observe", "run_light=lit@nowhere"), "no situation is called 'nowhere'"),
        (("--set", "mains=maybe"), "condition mains cannot be 'maybe'"),
        (("--others", "fine"), '"normal" or "unknown"'),
        (("--answers", "no such file"), "can not be read"),
    ],
)
def test_a_slip_on_the_command_line_is_a_sentence(
    words: tuple[str, ...], part: str, faultiso: Program, home: Path
) -> None:
    done = faultiso("isolate", "workshop-power-cart", *words, FAULTISO_HOME=str(home))
    text = " ".join(done.stderr.decode().split())
    assert done.returncode == 2
    assert part in text
    assert "Traceback" not in text


def test_a_session_goes_on_with_its_own_copy_of_the_model(
    faultiso: Program, home: Path, tmp_path: Path
) -> None:
    model = tmp_path / "own cart.yaml"
    source = ROOT / "models" / "workshop-power-cart.yaml"
    model.write_bytes(source.read_bytes())
    lines = LIGHT.splitlines(keepends=True)
    first = faultiso(
        "isolate", str(model), "--answers", _answers(tmp_path, "".join(lines[:7])), FAULTISO_HOME=str(home)
    )
    assert first.returncode == 2
    model.write_text("model: changed\n", encoding="utf-8")
    rest = _answers(tmp_path, "".join(lines[7:]))
    second = faultiso("resume", "1", "--answers", rest, FAULTISO_HOME=str(home))
    assert second.returncode == 0, second.stderr.decode()
    kept = next((home / "kept").glob("*/own cart.yaml"))
    kept.write_bytes(kept.read_bytes() + b"\n# changed\n")
    faultiso("isolate", "workshop-power-cart", "--answers", _answers(tmp_path, ""), FAULTISO_HOME=str(home))


def test_a_log_that_was_tampered_with_is_not_gone_on_with(
    faultiso: Program, home: Path, tmp_path: Path
) -> None:
    faultiso(
        "isolate",
        "workshop-power-cart",
        "--answers",
        _answers(tmp_path, LIGHT[:120]),
        FAULTISO_HOME=str(home),
    )
    log = _logs(home)[0]
    log.write_bytes(log.read_bytes().replace(b'"answer":"lit"', b'"answer":"out"'))
    done = faultiso("resume", "1", FAULTISO_HOME=str(home))
    assert done.returncode == 2
    assert b"was altered after it was written" in done.stderr


def test_hand_in_is_one_file_with_log_and_model(faultiso: Program, home: Path, tmp_path: Path) -> None:
    import zipfile

    faultiso(
        "isolate", "workshop-power-cart", "--answers", _answers(tmp_path, LIGHT), FAULTISO_HOME=str(home)
    )
    done = faultiso("hand-in", "1", "--to", str(tmp_path / "to here"), FAULTISO_HOME=str(home))
    assert done.returncode == 0, done.stderr.decode()
    pack = next((tmp_path / "to here").iterdir())
    names = zipfile.ZipFile(pack).namelist()
    assert names[1] == "0001-workshop-power-cart.jsonl"
    assert names[2].endswith("workshop-power-cart.yaml")
    assert b"Receipt" in done.stdout


def test_where_names_every_folder(faultiso: Program, home: Path) -> None:
    done = faultiso("where", "--json", FAULTISO_HOME=str(home))
    data = json.loads(done.stdout)
    assert data["sessions"] == str(home / "sessions")
    assert set(data) >= {"home", "sessions", "reports", "cases", "models", "kept", "settings"}


@pytest.mark.parametrize("encoding", ["cp1252", "ascii", "utf-8"])
@pytest.mark.parametrize("columns", ["40", "80", "120"])
def test_any_console_and_width(
    encoding: str, columns: str, faultiso: Program, home: Path, tmp_path: Path
) -> None:
    done = faultiso(
        "isolate", "workshop-power-cart", "--answers", _answers(tmp_path, LIGHT),
        FAULTISO_HOME=str(home), PYTHONIOENCODING=encoding, COLUMNS=columns, TERM="dumb", NO_COLOR="1",
    )  # fmt: skip
    assert done.returncode == 0
    text = done.stdout.decode(encoding) + done.stderr.decode(encoding)
    assert "\x1b" not in text
    long = [
        line
        for line in text.split("\n")
        if len(line) > int(columns) and " > " not in line and "/" not in line
    ]
    assert not long


def _run_until_killed(home: Path, answers: str, after: float) -> None:
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "FAULTISO_HOME": str(home), "OMP_NUM_THREADS": "1"}
    command = [sys.executable, "-m", "faultiso", "isolate", "workshop-power-cart", "--answers", answers]
    with subprocess.Popen(
        command, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    ) as process:
        time.sleep(after)
        process.send_signal(getattr(signal, "SIGKILL", signal.SIGTERM))
        process.wait()


def _killed_and_gone_on_with(faultiso: Program, home: Path, folder: Path, times: int, seed: int) -> None:
    """Kill a scripted session at random moments; what it had answered is there, and it goes on to its end."""
    whole = _answers(folder, LIGHT)
    typed = [line for line in LIGHT.splitlines() if not line.startswith("#")]
    stream = random.Random(seed)
    for _ in range(times):
        _run_until_killed(home, whole, stream.uniform(0.2, 1.6))
        logs = _logs(home)
        if not logs or not (entries := read(logs[-1])):
            continue
        assert verify(logs[-1]) in ((), verify(logs[-1])[:1])
        assert entries[0].event == "began"
        said = [entry.data["typed"] for entry in entries if "typed" in entry.data]
        assert said == [line for line in typed if line in said][: len(said)]
    last = _logs(home)[-1]
    if read(last)[-1].event != "ended":
        left = _answers(folder, "quit\n")
        done = faultiso("resume", last.name[:4], "--answers", left, FAULTISO_HOME=str(home))
        assert done.returncode == 0, done.stderr.decode()


def test_killed_at_random_moments_nothing_answered_is_lost(
    faultiso: Program, home: Path, tmp_path: Path
) -> None:
    _killed_and_gone_on_with(faultiso, home, tmp_path, 20, seed=1)


@pytest.mark.long
def test_killed_two_hundred_times(faultiso: Program, home: Path, tmp_path: Path) -> None:
    _killed_and_gone_on_with(faultiso, home, tmp_path, 200, seed=2)


def test_two_programs_on_one_log(faultiso: Program, home: Path, tmp_path: Path) -> None:
    from faultiso.base.journal import Journal

    faultiso(
        "isolate",
        "workshop-power-cart",
        "--answers",
        _answers(tmp_path, LIGHT[:120]),
        FAULTISO_HOME=str(home),
    )
    with Journal(_logs(home)[0], new=False):
        done = faultiso("resume", "1", input=b"quit\n", FAULTISO_HOME=str(home))
    assert done.returncode == 2
    assert b"is open in another window" in done.stderr


def test_the_first_question_needs_nothing_heavy(faultiso: Program, home: Path) -> None:
    code = (
        "import sys; from faultiso.cli.app import run; code = run(['isolate', 'workshop-power-cart']); "
        "heavy = {'numpy', 'networkx', 'pgmpy', 'matplotlib', 'pandas', 'pydantic', 'jinja2'} & set(sys.modules); "
        "print(sorted(heavy - {'numpy'}), file=sys.stdout)"
    )
    done = faultiso(code=code, FAULTISO_HOME=str(home))
    assert done.stdout.decode().strip().endswith("[]")


@pytest.mark.parametrize(
    "answers",
    [
        b"\xff\xfe\x00garbage\n" * 50,
        b"a" * 1_000_000 + b"\nquit\n",
        b"\x1b]0;title\x07\x1b[31mred\n[bold]x[/bold]\n<b>&\n\xe2\x80\xaeabc\nquit\n",
        b"",
    ],
)
def test_any_file_of_answers_is_taken_harmlessly(
    answers: bytes, faultiso: Program, home: Path, tmp_path: Path
) -> None:
    file = tmp_path / "a.txt"
    file.write_bytes(answers)
    done = faultiso("isolate", "workshop-power-cart", "--answers", str(file), FAULTISO_HOME=str(home))
    text = done.stderr.decode("utf-8")
    assert done.returncode in (0, 2)
    assert "Traceback" not in text and "Something went wrong" not in text
    assert not {"\x1b", "\u202e", "\x07", "\x00"} & set(text)
    assert len(text) < 50_000
