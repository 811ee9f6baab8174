"""The log: nothing answered is lost, every tampering is named with its line."""

from __future__ import annotations

import errno
import hashlib
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.base import journal as module
from faultiso.base.journal import (
    Journal,
    JournalError,
    NotSaved,
    read,
    receipt_of,
    same_receipt,
    verify,
)


@pytest.fixture
def log(tmp_path: Path) -> Path:
    """A log of six lines."""
    path = tmp_path / "0001 with a space.jsonl"
    with Journal(path, new=True) as journal:
        for number in range(6):
            journal.append("read", {"sign": f"light_{number}", "answer": "lit", "words": "l\u00e9ger \u202e"})
    return path


def _lines(path: Path) -> list[bytes]:
    return path.read_bytes().splitlines(keepends=True)


def _edited(path: Path, edit: Callable[[list[bytes]], list[bytes]]) -> list[str]:
    """What verify says of a copy of the log that was edited."""
    copy = path.with_name("copy.jsonl")
    copy.write_bytes(b"".join(edit(_lines(path))))
    return [str(finding) for finding in verify(copy)]


def test_a_log_that_nobody_touched_has_no_findings(log: Path) -> None:
    assert verify(log) == ()
    assert [entry.number for entry in read(log)] == [1, 2, 3, 4, 5, 6]
    assert log.read_bytes().isascii()


def test_each_line_carries_the_seal_of_the_one_before(log: Path) -> None:
    lines = [json.loads(line) for line in _lines(log)]
    assert [line["before"] for line in lines[1:]] == [line["own"] for line in lines[:-1]]


@pytest.mark.parametrize("line", range(6))
def test_an_altered_line_is_named(log: Path, line: int) -> None:
    def edit(lines: list[bytes]) -> list[bytes]:
        lines[line] = lines[line].replace(b"lit", b"out", 1)
        return lines

    assert _edited(log, edit) == [f"line {line + 1} was altered after it was written"]


@pytest.mark.parametrize("line", range(5))
def test_a_removed_line_is_named(log: Path, line: int) -> None:
    found = _edited(log, lambda lines: lines[:line] + lines[line + 1 :])
    assert found == [f"line {line + 1} was removed"]


def test_swapped_lines_are_named(log: Path) -> None:
    found = _edited(log, lambda lines: [lines[0], lines[3], lines[2], lines[1], *lines[4:]])
    assert found == [
        "line 2 was moved: it was written as line 4",
        "line 4 was moved: it was written as line 2",
    ]


def test_a_line_that_stands_twice_is_named(log: Path) -> None:
    assert _edited(log, lambda lines: [*lines[:3], lines[2], *lines[3:]]) == [
        "line 4 is a second copy of line 3"
    ]


def test_a_line_that_is_no_line_of_a_log_is_named(log: Path) -> None:
    found = _edited(log, lambda lines: [*lines[:2], b"\0\0\0\n", *lines[3:]])
    assert found == ["line 3 is damaged: it is not a line of a log"]


def test_a_line_altered_and_sealed_again_is_named(log: Path) -> None:
    def edit(lines: list[bytes]) -> list[bytes]:
        body = json.loads(lines[2])
        line, _ = module._line(3, body["at"], "read", {"answer": "out"}, body["before"])
        return [*lines[:2], line, *lines[3:]]

    assert _edited(log, edit) == ["line 3 was altered after it was written, and sealed again"]


def test_lines_cut_from_the_end_are_found_by_the_receipt(log: Path) -> None:
    receipt = receipt_of(read(log)[-1].own)
    assert verify(log, receipt) == ()
    log.write_bytes(b"".join(_lines(log)[:4]))
    assert verify(log) == ()  # an unfinished log looks the same
    assert "receipt" in str(verify(log, receipt)[0])


def _sealed(number: object) -> bytes:
    """The only line of a log that was made by hand, its seal right."""
    body = f'{{"n":{number},"at":"","event":"read","data":{{}},"before":"{"0" * 32}"'.encode()
    return body + b',"own":"%s"}\n' % hashlib.sha256(body).hexdigest()[:32].encode()


@pytest.mark.parametrize("number", ["1000000000000", "1" + "0" * 400, "-5", "1e999", "Infinity", "true"])
def test_a_line_may_claim_any_number(number: str) -> None:
    entries, findings = module.examined(_sealed(number))
    assert len(entries) == (number not in ("-5", "1e999", "Infinity"))
    assert bool(findings) == (number != "true") and len(findings) < 1_100


def test_a_receipt_is_compared_with_what_is_whole(log: Path) -> None:
    receipt = receipt_of(read(log)[-1].own)
    content = log.read_bytes().rstrip()
    altered = content[:-34] + b"z" * 32 + b'"}\n'
    assert [finding.line for finding in module.examined(altered, receipt)[1]] == [6, 6]


def test_a_receipt_may_be_written_by_hand() -> None:
    assert receipt_of("0" * 32) == "0000-0000"
    assert receipt_of("ffffffffff" + "0" * 22) == "ZZZZ-ZZZZ"
    assert same_receipt("7F3K-Q201", "7f3k q2ol")
    assert not same_receipt("7F3K-Q201", "7F3K-Q202")


def test_a_torn_last_line_is_cut_before_the_first_append(log: Path) -> None:
    whole = log.read_bytes()
    log.write_bytes(whole[:-9])
    assert "line 6 is torn" in str(verify(log)[0])
    assert len(read(log)) == 5
    with Journal(log, new=False) as journal:
        journal.append("read", {"answer": "again"})
    assert verify(log) == ()
    assert [entry.number for entry in read(log)] == [1, 2, 3, 4, 5, 6]
    assert read(log)[-1].data == {"answer": "again"}


def test_every_prefix_of_a_log_can_be_gone_on_with(log: Path) -> None:
    whole = log.read_bytes()
    for end in range(0, len(whole), 7):
        log.write_bytes(whole[:end])
        complete = whole[:end].count(b"\n")
        assert len(read(log)) == complete
        with Journal(log, new=False) as journal:
            journal.append("read", {})
        assert len(read(log)) == complete + 1


def test_a_second_writer_is_told_so(log: Path) -> None:
    with Journal(log, new=False):
        code = f"from faultiso.base.journal import Journal; from pathlib import Path; Journal(Path({str(log)!r}), False)"
        environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
        found = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, env=environment, check=False
        )
    assert "is open in another window" in found.stderr
    with Journal(log, new=False) as journal:  # and afterwards it is free again
        journal.append("read", {})


def test_a_log_that_was_tampered_with_is_not_gone_on_with(log: Path) -> None:
    log.write_bytes(log.read_bytes().replace(b"light_2", b"light_9"))
    with pytest.raises(JournalError, match="line 3 was altered"):
        Journal(log, new=False)


def test_a_full_disk_is_told_and_loses_nothing(log: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = log.read_bytes()
    real = os.write

    def half(handle: int, data: bytes) -> int:
        if len(data) < 20:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return real(handle, data[: len(data) // 2])

    with Journal(log, new=False) as journal:
        monkeypatch.setattr(os, "write", half)
        with pytest.raises(NotSaved, match="could not be saved: No space left"):
            journal.append("read", {"answer": "lost?"})
        assert log.read_bytes() == whole
        monkeypatch.undo()
        journal.append("read", {"answer": "after room was made"})
    assert len(read(log)) == 7
    assert verify(log) == ()


def test_a_clock_that_goes_backwards_is_kept_as_it_tells(tmp_path: Path) -> None:
    times = iter(["2031-05-01T10:00:00+02:00", "2031-05-01T09:00:00+02:00"])
    path = tmp_path / "0001-clock.jsonl"
    with Journal(path, new=True, now=lambda: next(times)) as journal:
        journal.append("read", {})
        journal.append("read", {})
    assert [entry.at[11:13] for entry in read(path)] == ["10", "09"]
    assert verify(path) == ()


def test_what_is_no_log_is_an_error_in_words(tmp_path: Path) -> None:
    with pytest.raises(JournalError, match="cannot be read"):
        read(tmp_path / "none.jsonl")
    with pytest.raises(JournalError, match="cannot be read"):
        read(tmp_path)
    bad = tmp_path / "bad.jsonl"
    bad.write_bytes(b"[" * 100_000 + b"\n")
    with pytest.raises(JournalError, match="line 1 is damaged"):
        read(bad)


@given(st.binary(max_size=300))
def test_any_bytes_are_judged_without_a_crash(tmp_path_factory: pytest.TempPathFactory, data: bytes) -> None:
    path = tmp_path_factory.mktemp("any") / "any.jsonl"
    path.write_bytes(data)
    assert all(finding.line >= 1 for finding in verify(path))


@given(st.integers(0, 5), st.integers(0, 10_000), st.integers(1, 255))
def test_any_changed_byte_is_found(
    tmp_path_factory: pytest.TempPathFactory, line: int, place: int, change: int
) -> None:
    path = tmp_path_factory.mktemp("byte") / "log.jsonl"
    with Journal(path, new=True) as journal:
        for number in range(6):
            journal.append("read", {"n": number})
    lines = _lines(path)
    text = bytearray(lines[line])
    text[place % (len(text) - 1)] ^= change
    path.write_bytes(b"".join([*lines[:line], bytes(text), *lines[line + 1 :]]))
    assert verify(path) != ()
