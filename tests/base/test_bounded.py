"""Files that are read no further than they may be long."""

from __future__ import annotations

from pathlib import Path

import pytest

from faultiso.base.bounded import read_bounded
from faultiso.base.problems import UsageError


def test_one_byte_more_than_allowed_is_enough_to_refuse(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"12345")
    assert [read_bounded(tmp_path / "file", most, "log") for most in (9, 5, 3)] == [
        b"12345",
        b"12345",
        b"1234",
    ]


@pytest.mark.parametrize("name", ["none", ".", "a\0b", "x" * 5_000])
def test_what_cannot_be_read_is_a_sentence(tmp_path: Path, name: str) -> None:
    with pytest.raises(UsageError, match=r"the log cannot be read: .*\.$"):
        read_bounded(tmp_path / name, 9, "log")
