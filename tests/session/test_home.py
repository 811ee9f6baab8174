"""Folders, names, kept copies, what is handed in."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from faultiso.base.archive import read_archive_file
from faultiso.base.journal import Journal
from faultiso.base.problems import UsageError
from faultiso.casebook.models import Models
from faultiso.casebook.packs.header import About
from faultiso.casebook.packs.key import Cost, PackError, key_of
from faultiso.casebook.packs.pack import SealedPack, read_pack
from faultiso.casebook.packs.sealing import seal
from faultiso.session.home import (
    PACK,
    Home,
    HomeError,
    Log,
    find_log,
    hand_in,
    home,
    keep,
    keep_pack,
    kept_folder,
    logs,
    new_journal,
    safe_name,
    write_bytes_whole,
)
from faultiso.session.kept_pack import kept_pack
from tests.casebook.frame import SMALL

KEY = key_of("four plain words here")


@pytest.fixture
def place(tmp_path: Path) -> Home:
    return Home(tmp_path / "a home with spaces")


def test_the_home_folder_is_moved_by_the_environment(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("USERPROFILE", str(tmp_path))
    assert home().root == tmp_path / "faultiso"
    monkeypatch.setenv("FAULTISO_HOME", str(tmp_path / "stick"))
    assert home().sessions == tmp_path / "stick" / "sessions"
    assert home().settings == tmp_path / "stick" / "settings"


def test_nothing_is_made_before_it_is_needed(place: Home) -> None:
    assert logs(place) == []
    assert not place.root.exists()


@pytest.mark.parametrize(
    ("name", "safe"),
    [("CON", "con"), ("a/b\\c:d*?", "a-b-c-d"), ("..", "session"), ("\u202ex", "x"), ("x" * 300, "x" * 60)],
)
def test_names_are_safe_on_every_system(name: str, safe: str) -> None:
    assert safe_name(name) == safe


def test_logs_are_numbered_and_found_by_number_name_and_path(place: Home) -> None:
    for name in ("first", "second"):
        with new_journal(place, name) as journal:
            journal.append("began", {"kind": "isolate", "clock": 7.0})
    assert [log.name for log in logs(place)] == ["0002", "0001"]
    assert find_log(place, "2").path.name == "0002-second.jsonl"
    assert find_log(place, "0001-first.jsonl").number == 1
    assert find_log(place, str(place.sessions / "0001-first.jsonl")).minutes == 7.0
    with pytest.raises(UsageError, match="no session 9"):
        find_log(place, "9")


def test_a_log_in_use_does_not_stop_the_next_one(place: Home) -> None:
    with new_journal(place, "x") as first, new_journal(place, "x") as second:
        assert first.path != second.path


def test_a_folder_that_cannot_be_made_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x", encoding="utf-8")
    with pytest.raises(HomeError, match="cannot be made"):
        new_journal(Home(tmp_path / "file"), "x")


def test_a_kept_copy_holds_all_files_and_is_made_once(place: Home, tmp_path: Path) -> None:
    files = [tmp_path / "main model.yaml", tmp_path / "part.yaml"]
    for file in files:
        file.write_text(file.name, encoding="utf-8")
    folder = keep(place, "abc123" * 8, files)
    assert sorted(f.name for f in folder.iterdir()) == ["main model.yaml", "part.yaml"]
    files[0].write_text("changed", encoding="utf-8")
    assert keep(place, "abc123" * 8, files) == folder
    assert (folder / "main model.yaml").read_text(encoding="utf-8") == "main model.yaml"
    assert [f.name for f in place.kept.iterdir()] == [folder.name]


def test_a_copy_that_fails_leaves_nothing_behind(place: Home, tmp_path: Path) -> None:
    with pytest.raises(HomeError, match="could not be kept"):
        keep(place, "abc", [tmp_path / "missing.yaml"])
    assert list(place.kept.iterdir()) == []


def test_a_digest_never_leads_out_of_the_folder(place: Home) -> None:
    assert kept_folder(place, "../../etc").parent == place.kept


def test_handing_in_twice_writes_the_same_one_file(place: Home, tmp_path: Path) -> None:
    with new_journal(place, "x") as journal:
        journal.append("began", {"digest": "abc"})
    model = tmp_path / "m.yaml"
    model.write_text("model: m", encoding="utf-8")
    keep(place, "abc", [model])
    for _ in range(2):
        target = hand_in(place, find_log(place, "1"), tmp_path / "class")
    assert zipfile.ZipFile(target).namelist() == ["NOTICE.txt", "0001-x.jsonl", "kept/abc/m.yaml"]
    assert [f.name for f in (tmp_path / "class").iterdir()] == ["0001-x.zip"]


def test_a_log_that_cannot_be_used_is_listed_with_its_trouble(place: Home) -> None:
    with new_journal(place, "x") as journal:
        journal.append("began", {})
        journal.append("left", {})
    path = place.sessions / "0001-x.jsonl"
    path.write_bytes(path.read_bytes().replace(b"began", b"BEGAN"))
    log = logs(place)[0]
    assert "line 1 was altered" in log.trouble
    assert not log.is_open


def test_a_log_is_opened_again_where_it_stopped(place: Home) -> None:
    with new_journal(place, "x") as journal:
        journal.append("began", {})
    with Journal(place.sessions / "0001-x.jsonl", new=False) as journal:
        assert journal.append("left", {}).number == 2


def sealed_pack(title: str = "Exam") -> bytes:
    return seal([SMALL], Models(), About(title), KEY, Cost(1, 8_192)).data


def begun_with(place: Home, pack: SealedPack) -> Log:
    """A session of a sealed case, as its first line tells, and its pack kept."""
    with new_journal(place, "small") as journal:
        journal.append("began", {"kind": "practice", "pack": pack.digest, "case": "small"})
    keep_pack(place, pack.digest, pack.data)
    return find_log(place, "1")


def test_a_session_of_a_sealed_case_goes_on_with_the_pack_that_was_kept(place: Home, tmp_path: Path) -> None:
    file = tmp_path / "exam.pack"
    file.write_bytes(sealed_pack())
    log = begun_with(place, read_pack(file))
    file.unlink()
    case = kept_pack(place, log).opened(KEY).load(str(log.begun["case"])).case
    assert case is not None and case.truth == ("display.dead",)
    with pytest.raises(PackError, match="the key is another one"):
        kept_pack(place, log).opened(key_of("another passphrase"))


def test_nothing_of_a_sealed_case_is_on_the_disk(place: Home, tmp_path: Path) -> None:
    (tmp_path / "exam.pack").write_bytes(sealed_pack())
    log = begun_with(place, read_pack(tmp_path / "exam.pack"))
    kept_pack(place, log).opened(KEY).load("small")
    target = hand_in(place, log, tmp_path / "class")
    files = [path for path in tmp_path.rglob("*") if path.is_file() and path != target]
    handed_in = read_archive_file(target)
    assert [name for name in handed_in if name.endswith(".pack")] == [f"kept/{log.begun['pack'][:24]}/{PACK}"]
    for content in (*handed_in.values(), *(path.read_bytes() for path in files)):
        assert b"display.dead" not in content and b"pressure display" not in content


def test_a_kept_pack_that_is_gone_or_another_one_is_told(place: Home, tmp_path: Path) -> None:
    (tmp_path / "exam.pack").write_bytes(sealed_pack())
    log = begun_with(place, read_pack(tmp_path / "exam.pack"))
    kept = kept_folder(place, str(log.begun["pack"])) / PACK
    kept.write_bytes(sealed_pack("Another exam"))
    with pytest.raises(HomeError, match="was altered"):
        kept_pack(place, log)
    kept.unlink()
    with pytest.raises(HomeError, match="is missing"):
        kept_pack(place, log)


def test_what_is_handed_in_is_read_as_any_zip_file_from_people(place: Home, tmp_path: Path) -> None:
    with new_journal(place, "x") as journal:
        journal.append("began", {"digest": "abc"})
    (tmp_path / "m.yaml").write_text("model: m", encoding="utf-8")
    keep(place, "abc", [tmp_path / "m.yaml"])
    log = find_log(place, "1")
    files = read_archive_file(hand_in(place, log, tmp_path))
    assert files["0001-x.jsonl"] == log.path.read_bytes() and files["kept/abc/m.yaml"] == b"model: m"


@pytest.mark.parametrize("name", ["no such folder/a.pack", ".", "a\0b"])
def test_a_file_that_cannot_be_written_is_a_sentence(tmp_path: Path, name: str) -> None:
    with pytest.raises(HomeError, match="could not be written"):
        write_bytes_whole(tmp_path / name, b"x")
    assert list(tmp_path.iterdir()) == []
