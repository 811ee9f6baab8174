"""Cases are found by name or path, one's own before the shipped ones."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from faultiso.base.problems import UsageError
from faultiso.casebook.library import case_files, files_in, find_case
from tests.casebook.frame import DARK


def test_shipped_cases_are_there() -> None:
    assert "first-light" in case_files()
    assert find_case("first-light") == find_case("first-light.yaml") == case_files()["first-light"]


def test_own_cases_come_first(tmp_path: Path) -> None:
    for name in ("first-light", "dark"):
        shutil.copy(DARK, tmp_path / f"{name}.yaml")
    (tmp_path / "README.md").write_text("no case", "utf-8")
    found = case_files((tmp_path, tmp_path / "none"))
    assert found["first-light"].parent == found["dark"].parent == tmp_path
    assert list(found) == sorted(found)
    assert find_case("dark", (tmp_path,)) == tmp_path / "dark.yaml"
    assert [path.name for path in files_in(tmp_path)] == ["dark.yaml", "first-light.yaml"]


def test_a_path_is_taken_as_it_is() -> None:
    assert find_case(DARK) == DARK
    assert find_case(str(DARK)) == DARK


@pytest.mark.parametrize("name", ["first-ligth", "first_light", "x" * 5000, "a\0b", "", "."])
def test_what_is_not_there_is_told(name: str) -> None:
    with pytest.raises(UsageError, match="no case file and no case is called"):
        find_case(name)


def test_the_nearest_is_named() -> None:
    with pytest.raises(UsageError, match="nearest: first-light"):
        find_case("first-ligth")
