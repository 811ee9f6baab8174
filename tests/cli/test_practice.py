"""``faultiso practice`` as its own process: files, exit codes, going on after anything, kept copies."""

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

from faultiso.assessment.debrief import debrief, record
from faultiso.assessment.review import reviewed
from faultiso.base.journal import Journal, read, verify
from faultiso.casebook.load import read_case
from faultiso.casebook.models import Models
from faultiso.session.desk import events_of
from faultiso.session.home import Home, find_log
from faultiso.session.kept import kept_case, kept_model
from tests.practice.frame import ONE_FOR_EACH_MODEL, case_of, started

Program = Callable[..., "subprocess.CompletedProcess[bytes]"]
ROOT = Path(__file__).parents[2]
MASKED = ("receipt", "log", "debrief", "notice")

#: the case of the cart, worked with a class: nothing is asked that hangs on what was told before
WAY = (
    "overheat light", "fan test", "ready", "tank temperature gauge", "ask colleague", "replace the fan thermostat", "ready",
    "chapter 29", "let it cool", "ready", "nk", "verify", "ready", "note tidy", "finish",
)  # fmt: skip


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return tmp_path / "home of a person"


@pytest.fixture
def typed(tmp_path: Path) -> Callable[..., str]:
    """``typed("a", "b")``: the name of a file with these lines."""

    def write(*lines: str) -> str:
        file = tmp_path / "answers.txt"
        file.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8", newline="\n")
        return str(file)

    return write


def logs(home: Path) -> list[Path]:
    return sorted((home / "sessions").glob("*.jsonl"))


def test_a_whole_practice_from_a_file(faultiso: Program, home: Path, typed: Callable[..., str]) -> None:
    done = faultiso(
        "practice", "hot-cart", "--mode", "classroom", "--answers", typed(*WAY), FAULTISO_HOME=str(home)
    )
    out, err = done.stdout.decode(), done.stderr.decode()
    assert done.returncode == 0, err
    assert "Rectified and verified: replace the fan thermostat" in out and "0 min >" not in out
    assert out.rstrip().endswith("licensed staff.") and "not approved maintenance data" in " ".join(
        err.split()
    )
    assert verify(logs(home)[0]) == () and read(logs(home)[0])[-1].event == "ended"
    reports = {path.suffix: path.read_text("utf-8") for path in (home / "reports").iterdir()}
    assert set(reports) == {".html", ".json"}
    assert "That is right." in reports[".html"]
    record = json.loads(reports[".json"])
    assert record["right"] is True and record["aims"] == ["latched", "cause_before_reset"]


def test_json_is_one_ascii_document(faultiso: Program, home: Path, typed: Callable[..., str]) -> None:
    done = faultiso(
        "practice",
        "hot-cart",
        "--mode",
        "classroom",
        "--answers",
        typed(*WAY),
        "--json",
        FAULTISO_HOME=str(home),
    )
    data = json.loads(done.stdout.decode("ascii"))
    assert data["end"] == "rectified and verified" and data["truth"] == ["fan_thermostat.stays_open"]
    assert (
        data["debrief"].endswith("0001-hot-cart.html") and "not approved maintenance data" in data["notice"]
    )


@pytest.mark.parametrize("mode", ["coached", "examination"])
@pytest.mark.parametrize(("lines", "code"), [(("overheat light",), 2), (("overheat light", "quit"), 0)])
def test_what_is_left_in_the_middle_is_one_document_too(
    mode: str, lines: tuple[str, ...], code: int, faultiso: Program, home: Path, typed: Callable[..., str]
) -> None:
    done = faultiso(
        "practice", "hot-cart", "--mode", mode, "--json", "--answers", typed(*lines), FAULTISO_HOME=str(home)
    )
    data = json.loads(done.stdout.decode("ascii"))
    assert (done.returncode, data.pop("ended"), data.pop("steps"), data.pop("minutes")) == (code, False, 1, 0)
    assert data.pop("log") == str(logs(home)[0]) and data.pop("case") == "hot-cart"
    assert data.pop("question") == "0 min" and set(data) == {"notice"}


@pytest.mark.parametrize("more", [(), ("--json",)])
def test_an_examination_ends_without_a_word_on_how_it_went(
    more: tuple[str, ...], faultiso: Program, home: Path, typed: Callable[..., str]
) -> None:
    done = faultiso(
        "practice", "hot-cart", "--mode", "examination", "--answers", typed("overheat light", "refer"), *more,
        FAULTISO_HOME=str(home),
    )  # fmt: skip
    out, text = done.stdout.decode(), (done.stdout + done.stderr).decode()
    assert done.returncode == 0
    for word in ("right", "thermostat", "stays open", "What is learned", "Coach", "lesson", "truth"):
        assert word not in text, word
    assert not (home / "reports").exists(), "no debrief lies about either"
    if more:
        assert set(json.loads(out)) == {"log", "receipt", "notice"}
    else:
        assert "Receipt" in out and "marked by an instructor" in out


def test_answers_that_run_out_are_saved_and_gone_on_with(
    faultiso: Program, home: Path, typed: Callable[..., str]
) -> None:
    environment = {"FAULTISO_HOME": str(home)}
    for cut in (0, 2, 6, 12):
        first = faultiso(
            "practice", "hot-cart", "--mode", "classroom", "--answers", typed(*WAY[:cut]), **environment
        )
        assert first.returncode == 2 and b"Saved." in first.stderr and b"faultiso resume" in first.stderr
        second = faultiso("resume", logs(home)[-1].name[:4], "--answers", typed(*WAY[cut:]), **environment)
        assert second.returncode == 0, second.stderr.decode()
        assert b"Rectified and verified" in second.stdout
    records = [masked(path) for path in sorted((home / "reports").glob("*.json"))]
    assert len(records) == 4 and all(record == records[0] for record in records)


def masked(path: Path) -> dict[str, object]:
    """A record without what differs from run to run."""
    data = json.loads(path.read_text("utf-8"))
    for step in data["steps"]:
        del step["line"]
    return {name: value for name, value in data.items() if name not in MASKED}


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (("practice",), "Name a case: faultiso practice "),
        (("practice", "first-lihgt"), "first-light"),
        (("practice", "hot-cart", "--mode", "quite"), "nearest: quiet"),
        (("practice", "hot-cart", "--answers", "no such file"), "can not be read"),
        (("practice", "hot-cart", "--minutes", "-1"), "--minutes"),
        (("practice", "hot-cart", "--candidate", "Reed"), 'never a name; found "Reed"'),
        (("practice", "hot-cart", "--candidate", "-5"), "never a name"),
        (("practice", "hot-cart", "--candidate", "9" * 3000), "never a name"),
        (("practice", "hot-cart", "--candidate", "\x1b[31m<script>{{ 1 }}\u202e"), "never a name"),
        (("practice", "models/workshop-power-cart.yaml"), "case"),
    ],
)
def test_a_slip_on_the_command_line_is_a_sentence(
    words: tuple[str, ...], part: str, faultiso: Program, home: Path
) -> None:
    done = faultiso(*words, FAULTISO_HOME=str(home))
    text = " ".join(done.stderr.decode().split())
    assert done.returncode in (1, 2) and part in text
    assert "Traceback" not in text and not logs(home)


@pytest.mark.parametrize("columns", ["40", "80", "120"])
@pytest.mark.parametrize("encoding", ["ascii", "cp1252"])
def test_any_console_and_width(
    columns: str, encoding: str, faultiso: Program, home: Path, typed: Callable[..., str]
) -> None:
    lines = ("overheat light", "data fan", "fan test", "fan 20", "1", "ready", "finish", "help", "quit")
    done = faultiso(
        "practice", "hot-cart", "--mode", "quiet", "--answers", typed(*lines), FAULTISO_HOME=str(home),
        PYTHONIOENCODING=encoding, COLUMNS=columns, TERM="dumb", NO_COLOR="1",
    )  # fmt: skip
    text = (done.stdout + done.stderr).decode(encoding)
    assert done.returncode == 0 and "\x1b" not in text
    assert not [line for line in text.split("\n") if len(line) > int(columns) and "> " not in line]


@pytest.mark.parametrize(
    "answers",
    [
        b"\xff\xfe\x00garbage\n" * 50,
        b"a" * 1_000_000 + b"\nquit\n",
        b"fan test\n\x1b]0;title\x07\x1b[31mred 5\n<b>&{{ 7*7 }}\n\xe2\x80\xaeabc 5\n \n1\xc2\xb2\nquit\n",
        b"note \x1b[31m</td>\xe2\x80\xae\nref {{ x }}]]>\nvote fan \xc2\xb2\ndispute \x00\nrefer\n",
        b"",
    ],
)
@pytest.mark.parametrize("mode", ["quiet", "classroom"])
def test_any_file_of_answers_is_taken_harmlessly(
    mode: str, answers: bytes, faultiso: Program, home: Path, tmp_path: Path
) -> None:
    file = tmp_path / "a.txt"
    file.write_bytes(answers)
    done = faultiso(
        "practice",
        "hot-cart",
        "--mode",
        mode,
        "--candidate",
        "B7",
        "--answers",
        str(file),
        FAULTISO_HOME=str(home),
    )
    text = (done.stdout + done.stderr).decode("utf-8")
    assert done.returncode in (0, 2), text
    assert "Traceback" not in text and "Something went wrong" not in text
    assert not {"\x1b", "\u202e", "\x07", "\x00"} & set(text) and len(text) < 50_000
    for page in (home / "reports").glob("*.html"):
        assert "<script" not in page.read_text("utf-8")


# kept copies


def own_case(folder: Path) -> Path:
    """A case with a model of its own beside it."""
    folder.mkdir()
    model, case = ROOT / "models" / "workshop-power-cart.yaml", ROOT / "tests" / "casebook" / "small.yaml"
    (folder / "own cart.yaml").write_bytes(model.read_bytes())
    text = (
        case.read_text("utf-8")
        .replace("case: small", "case: own")
        .replace("workshop-power-cart", "own cart.yaml")
    )
    (folder / "own.yaml").write_text(text, "utf-8")
    return folder / "own.yaml"


def upgraded(case: Path, home: Path) -> None:
    """Another truth, another end, another model, wherever a copy lies that is not a kept one."""
    case.write_text("case: own\n", "utf-8")
    (case.parent / "own cart.yaml").write_text("model: changed\n", "utf-8")
    for place, name in ((home / "cases", "own.yaml"), (home / "models", "workshop-power-cart.yaml")):
        place.mkdir(parents=True, exist_ok=True)
        (place / name).write_text("case: other\n", "utf-8")


LINES = ("overheat light", "replace the display", "ready", "nk", "verify", "ready", "finish")


def test_resume_and_debrief_use_the_kept_copies_after_an_upgrade(
    faultiso: Program, home: Path, tmp_path: Path, typed: Callable[..., str]
) -> None:
    case = own_case(tmp_path / "own")
    first = faultiso(
        "practice", str(case), "--mode", "classroom", "--answers", typed(*LINES[:3]), FAULTISO_HOME=str(home)
    )
    assert first.returncode == 2, first.stderr.decode()
    upgraded(case, home)
    second = faultiso("resume", "1", "--answers", typed(*LINES[3:]), FAULTISO_HOME=str(home))
    assert second.returncode == 0, second.stderr.decode()
    assert b"That is right. It was pressure display: dead." in b" ".join(second.stdout.split())


@pytest.mark.parametrize("name", ["own.yaml", "own cart.yaml"])
def test_a_kept_copy_that_was_altered_or_lost_is_refused(
    name: str, faultiso: Program, home: Path, tmp_path: Path, typed: Callable[..., str]
) -> None:
    case = own_case(tmp_path / "own")
    faultiso(
        "practice",
        str(case),
        "--mode",
        "classroom",
        "--answers",
        typed("overheat light"),
        FAULTISO_HOME=str(home),
    )
    before = logs(home)[0].read_bytes()
    kept = next((home / "kept").glob(f"*/{name}"))
    kept.write_bytes(kept.read_bytes() + b"\n# changed\n")
    done = faultiso("resume", "1", "--answers", typed("refer"), FAULTISO_HOME=str(home))
    assert done.returncode == 2 and b"was altered" in done.stderr
    kept.unlink()
    done = faultiso("resume", "1", "--answers", typed("refer"), FAULTISO_HOME=str(home))
    assert done.returncode == 2 and b"is missing" in done.stderr
    assert logs(home)[0].read_bytes() == before, "nothing is written to a log that is not gone on with"


def test_the_kept_case_is_the_one_that_was_begun_with(
    faultiso: Program, home: Path, tmp_path: Path, typed: Callable[..., str]
) -> None:
    path = own_case(tmp_path / "own")
    case, model = read_case(path, Models())
    faultiso("practice", str(path), "--mode", "quiet", "--answers", typed(), FAULTISO_HOME=str(home))
    place = Home(home)
    again, with_model = kept_case(place, find_log(place, "1"))
    assert (again.digest, again.truth, again.seed) == (case.digest, case.truth, case.seed)
    assert with_model.digest == model.digest == kept_model(place, find_log(place, "1")).digest


# killed


class Killed:
    """A practice that is killed again and again, and gone on with, until it has ended."""

    def __init__(self, home: Path, answers: Path, stream: random.Random) -> None:
        self.home, self.answers, self.stream = home, answers, stream
        self.kills = 0
        self.expected, self.lengths = self._whole()

    def _whole(self) -> tuple[list[tuple[str, dict[str, object]]], list[int]]:
        """What is in the log of a session that nobody kills, and how long it is after each line."""
        play = started("hot-cart", "classroom")
        lengths = [len(play.desk.log.entries)]
        for line in WAY:
            play.take(line)
            lengths.append(len(play.desk.log.entries))
        assert play.ended
        return [(e.event, dict(e.data)) for e in play.desk.log.entries], lengths

    def written(self) -> list[tuple[str, dict[str, object]]]:
        """What is in the log so far, without the lines that leaving and going on have made."""
        found = logs(self.home)
        entries = read(found[-1]) if found else ()
        assert (
            not found
            or all("torn" in str(f) or "cut" in str(f) or not f for f in verify(found[-1]))
            or entries
        )
        return [(e.event, dict(e.data)) for e in entries if e.event not in ("resumed", "left")]

    def rest(self) -> tuple[str, ...]:
        """The lines that a person still has to type: one that was cut in the middle is answered by itself."""
        have = len(self.written())
        return WAY[sum(length <= have for length in self.lengths[1:]) + (have not in self.lengths) :]

    def run(self) -> None:
        """Start or go on, and kill it after a random line of the log, or a little later."""
        have = self.written()
        begun = len(have) >= self.lengths[0]
        lines = self.rest() if begun else WAY
        self.answers.write_text("".join(f"{line}\n" for line in lines), "utf-8", newline="\n")
        words = (
            ["resume", logs(self.home)[-1].name[:4]]
            if begun
            else ["practice", "hot-cart", "--mode", "classroom"]
        )
        more = len(self.expected) - len(have) + 2
        target = (self.length() if begun else 0) + self.stream.randint(1, more)
        command = [sys.executable, "-m", "faultiso", *words, "--answers", str(self.answers)]
        environment = {
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "FAULTISO_HOME": str(self.home),
            "OMP_NUM_THREADS": "1",
        }
        with subprocess.Popen(
            command, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        ) as process:
            while process.poll() is None and self.length() < target:
                time.sleep(0.001)
            time.sleep(self.stream.uniform(0.0, 0.006))
            if process.poll() is None:
                process.send_signal(getattr(signal, "SIGKILL", signal.SIGTERM))
                self.kills += 1
            process.wait()

    def length(self) -> int:
        found = logs(self.home)
        return found[-1].read_bytes().count(b"\n") if found else 0

    def ended(self) -> bool:
        have = self.written()
        return bool(have) and have[-1][0] == "ended"


def killed_until(kills: int, home: Path, folder: Path, seed: int) -> None:
    stream = random.Random(seed)
    done = 0
    while done < kills:
        session = Killed(home, folder / "a.txt", stream)
        while not session.ended():
            session.run()
            have = session.written()
            if len(have) >= session.lengths[0]:
                assert have[0][1]["case_digest"] == session.expected[0][1]["case_digest"]
                assert have[1:] == session.expected[1 : len(have)], (
                    "every answer is there, as it would have been"
                )
        done += session.kills
        entries = read(logs(home)[-1])
        assert verify(logs(home)[-1]) == ()
        assert debrief_of(entries) == debrief_of(started_whole().desk.log.entries)
        for log in logs(home):
            log.unlink()


def started_whole():  # type: ignore[no-untyped-def]
    play = started("hot-cart", "classroom")
    for line in WAY:
        play.take(line)
    return play


def debrief_of(entries) -> dict[str, object]:  # type: ignore[no-untyped-def]
    data = record(debrief(reviewed(*case_of("hot-cart"), events_of(list(entries)))))
    for step in data["steps"]:
        del step["line"]
    return {name: value for name, value in data.items() if name != "candidate"}


def test_killed_at_random_moments_nothing_answered_is_lost(home: Path, tmp_path: Path) -> None:
    killed_until(10, home, tmp_path, seed=1)


@pytest.mark.long
def test_killed_two_hundred_times(home: Path, tmp_path: Path) -> None:
    killed_until(200, home, tmp_path, seed=2)


def test_two_programs_on_one_log(faultiso: Program, home: Path, typed: Callable[..., str]) -> None:
    faultiso("practice", "hot-cart", "--answers", typed("quit"), FAULTISO_HOME=str(home))
    with Journal(logs(home)[0], new=False):
        done = faultiso("resume", "1", input=b"quit\n", FAULTISO_HOME=str(home))
    assert done.returncode == 2 and b"is open in another window" in done.stderr


@pytest.mark.parametrize("name", ONE_FOR_EACH_MODEL)
def test_a_case_of_each_model_is_begun_and_left(
    name: str, faultiso: Program, home: Path, typed: Callable[..., str]
) -> None:
    done = faultiso("practice", name, "--answers", typed("quit"), FAULTISO_HOME=str(home))
    assert done.returncode == 0 and b"Saved." in done.stderr, done.stderr.decode()
    assert case_of(name)[0].write_up.encode() in b" ".join(done.stderr.split())
