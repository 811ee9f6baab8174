"""``faultiso case seal`` and ``unseal``: the key from a file or a terminal, what is told, and the exit codes."""

from __future__ import annotations

import getpass
import os
import select
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

from faultiso.base.problems import UsageError
from faultiso.casebook.models import Models
from faultiso.casebook.packs.header import About
from faultiso.casebook.packs.key import Cost, key_in, key_of
from faultiso.casebook.packs.pack import open_pack
from faultiso.casebook.packs.sealing import seal
from faultiso.cli import streams
from faultiso.cli.app import run
from faultiso.cli.packs import judge_target
from tests.casebook.frame import DARK, HERE, LAMP, SMALL

Capture = pytest.CaptureFixture[str]
WORDS = "four plain words here"


@pytest.fixture(autouse=True)
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a key, where making a secret of a key costs next to nothing."""
    monkeypatch.setenv("FAULTISO_HOME", str(tmp_path / "home"))
    monkeypatch.setattr("faultiso.casebook.packs.sealing.Cost", lambda: Cost(1, 8_192))
    (tmp_path / "key").write_text(WORDS + "\n", "utf-8")
    return tmp_path


def called(capsys: Capture, *words: object, code: int = 0) -> tuple[str, str]:
    """What ``faultiso case`` writes, on one line each: results and narration."""
    assert run(["case", *map(str, words)]) == code
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    return " ".join(out.split()), " ".join(err.split())


def sealed(place: Path) -> Path:
    made = seal([SMALL], Models(), About("An exam", "Room 3"), key_of(WORDS), Cost(1, 8_192))
    (place / "exam.pack").write_bytes(made.data)
    return place / "exam.pack"


def typed(monkeypatch: pytest.MonkeyPatch, *answers: str | type[BaseException]) -> list[str]:
    """A person at a terminal who types these; the prompts that were shown."""
    lines, prompts = iter(answers), []

    def read(prompt: str, stream: object = None) -> str:
        assert stream is sys.stderr
        prompts.append(prompt)
        answer = next(lines)
        if isinstance(answer, str):
            return answer
        raise answer

    monkeypatch.setattr(getpass, "getpass", read)
    monkeypatch.setattr(streams, "is_conversation", lambda: True)
    return prompts


def test_sealed_and_opened_again(capsys: Capture, place: Path) -> None:
    for file in (DARK, LAMP):
        shutil.copy(file, place)
    words = (
        "seal",
        place / "dark.yaml",
        "hot-cart",
        "--out",
        place / "exam.pack",
        "--key-file",
        place / "key",
    )
    out, _ = called(capsys, *words, "--note", "Room 3, Friday", "--title", "Part 2")
    for told in ("Part 2", "Room 3, Friday", "cases 2", "in time obtain", "invigilated", "Argon2id"):
        assert told in out
    assert open_pack(place / "exam.pack", key_in(place / "key")).names == ("dark", "hot-cart")
    out, err = called(capsys, "unseal", place / "exam.pack", "--key-file", place / "key")
    assert "bench lamp" in out and "Stops after lunch" in out and "Room 3, Friday" in err
    assert not [word for word in ("wire", "truth", "rectified") if word in out + err]


def test_taken_apart_it_is_what_it_was(capsys: Capture, place: Path) -> None:
    _, err = called(capsys, "unseal", sealed(place), "--key-file", place / "key", "--to", place / "apart")
    assert "Written in the clear" in err
    assert (place / "apart" / "cases" / "small.yaml").read_bytes() == SMALL.read_bytes()
    _, err = called(
        capsys, "unseal", sealed(place), "--key-file", place / "key", "--to", place / "apart", code=2
    )
    assert "expected a new folder" in err


def test_a_folder_is_sealed_whole_and_only_if_all_is_valid(capsys: Capture, place: Path) -> None:
    (place / "cases").mkdir()
    shutil.copy(SMALL, place / "cases")
    words = ("seal", place / "cases", "--out", place / "exam.pack", "--key-file", place / "key")
    called(capsys, *words)
    assert open_pack(place / "exam.pack", key_of(WORDS)).names == ("small",)
    (place / "exam.pack").unlink()
    shutil.copy(HERE / "bad" / "unknown-fault.yaml", place / "cases")
    out, _ = called(capsys, *words, code=1)
    assert "2 cases: 1 valid, 1 not." in out and not (place / "exam.pack").exists()


def test_no_file_is_ever_written_over(capsys: Capture, place: Path) -> None:
    shutil.copy(SMALL, place / "small.yaml")
    shutil.copy(SMALL, place / "other.yaml")
    for name, told in (("other", "nothing is written over it"), ("small", "that file is read here")):
        words = ("seal", place / "small.yaml", "--out", place / f"{name}.yaml", "--key-file", place / "key")
        _, err = called(capsys, *words, code=2)
        assert told in " ".join(err.split())
        assert (place / f"{name}.yaml").read_bytes() == SMALL.read_bytes()
    before = sealed(place).read_bytes()
    _, err = called(capsys, "seal", SMALL, "--out", place / "exam.pack", "--key-file", place / "key", code=2)
    assert "nothing is written over it" in " ".join(err.split())
    with pytest.raises(UsageError, match="there is already a file of this name"):
        judge_target(place / "exam.pack")  # however it is called
    assert (place / "exam.pack").read_bytes() == before


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("seal", SMALL, "--out", "HERE/a.pack"), "--key-file FILE"),
        (("seal", SMALL, "--out", "HERE/a.pack", "--key-file", "HERE/none"), "the key cannot be read"),
        (("seal", SMALL, "--out", "HERE/a.pack", "--key-file", "HERE/short"), "expected at least 12"),
        (("seal", SMALL, "--out", "HERE/no/a.pack", "--key-file", "HERE/key"), "could not be written"),
        (("seal", SMALL, SMALL, "--out", "HERE/a.pack", "--key-file", "HERE/key"), 'is called "small" too'),
        (("seal", "smal", "--out", "HERE/a.pack", "--key-file", "HERE/key"), "no case is called"),
        (("seal", SMALL, "--out", "HERE", "--key-file", "HERE/key"), "Is a directory"),
        (("seal", SMALL, "--key-file", "HERE/key"), "--out"),
        (("seal", SMALL, "--out", "HERE/display.pack", "--key-file", "HERE/key"), "names what is faulty"),
        (("unseal", "HERE/exam.pack"), "--key-file FILE"),
        (("unseal", "HERE/exam.pack", "--key-file", "HERE/short"), "the key is another one"),
        (("unseal", "HERE/none.pack", "--key-file", "HERE/key"), "No such file"),
        (("unseal", SMALL, "--key-file", "HERE/key"), "this is not a pack"),
    ],
)  # fmt: skip
def test_wrong_use_is_a_sentence(capsys: Capture, place: Path, words: tuple[object, ...], told: str) -> None:
    (place / "short").write_text("short", "utf-8")
    sealed(place)
    before = sorted(path for path in place.rglob("*"))
    _, err = called(capsys, *(str(word).replace("HERE", str(place), 1) for word in words), code=2)
    assert told in err
    assert sorted(path for path in place.rglob("*")) == before


# a person at a terminal


def test_a_new_passphrase_is_typed_twice(
    capsys: Capture, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    prompts = typed(monkeypatch, WORDS, "another passphrase", WORDS, WORDS)
    _, err = called(capsys, "seal", SMALL, "--out", place / "exam.pack")
    assert "two different ones" in err and len(prompts) == 4
    typed(monkeypatch, WORDS)
    out, _ = called(capsys, "unseal", place / "exam.pack")
    assert "small" in out


def test_a_passphrase_that_never_agrees_seals_nothing(
    capsys: Capture, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    typed(monkeypatch, *(WORDS, "another passphrase") * 3)
    _, err = called(capsys, "seal", SMALL, "--out", place / "exam.pack", code=2)
    assert "nothing was sealed" in err and not (place / "exam.pack").exists()
    typed(monkeypatch, "short")
    assert "at least 12" in called(capsys, "seal", SMALL, "--out", place / "exam.pack", code=2)[1]
    typed(monkeypatch, "")
    assert "is empty" in called(capsys, "unseal", sealed(place), code=2)[1]


def test_a_person_can_leave_at_the_passphrase(
    capsys: Capture, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    typed(monkeypatch, EOFError)
    called(capsys, "unseal", sealed(place), code=130)
    typed(monkeypatch, KeyboardInterrupt, KeyboardInterrupt)
    called(capsys, "unseal", sealed(place), code=130)
    typed(monkeypatch, KeyboardInterrupt, WORDS)
    assert "small" in called(capsys, "unseal", sealed(place))[0]


@pytest.mark.skipif(os.name == "nt", reason="a terminal of the other kind")
def test_on_a_real_terminal_nothing_of_the_passphrase_is_seen(place: Path) -> None:
    import pty

    person, program = pty.openpty()
    words = [sys.executable, "-m", "faultiso", "case", "unseal", str(sealed(place))]
    process = subprocess.Popen(
        words, stdin=program, stdout=program, stderr=program, start_new_session=True, close_fds=True
    )
    os.close(program)
    seen = _seen_until(person, b"Passphrase > ")
    os.write(person, f"{WORDS}\n".encode())
    seen += _seen_until(person, b"small")
    assert process.wait(60) == 0
    os.close(person)
    assert b"An exam" in seen and WORDS.encode() not in seen and b"four" not in seen


def _seen_until(terminal: int, words: bytes) -> bytes:
    seen, ends = b"", time.monotonic() + 60
    while words not in seen and time.monotonic() < ends:
        if select.select([terminal], [], [], 1)[0]:
            seen += os.read(terminal, 4_096)
    assert words in seen, seen
    return seen
