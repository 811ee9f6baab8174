"""What was handed in: whatever lies in a folder comes out once, as a submission or as a refusal that says why."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from faultiso.assessment import copies as copies_module
from faultiso.assessment import gathering
from faultiso.assessment.beside import FolderFiles
from faultiso.assessment.copies import Copies
from faultiso.assessment.submissions import Refused, Submission, submissions
from faultiso.base.archive import read_archive_file
from faultiso.base.journal import read, receipt_of, verify
from faultiso.casebook.library import find_case
from faultiso.casebook.models import Models
from faultiso.casebook.packs.header import About
from faultiso.casebook.packs.key import Cost, key_of
from faultiso.casebook.packs.sealing import seal
from faultiso.session import events as kinds
from faultiso.session.home import Home, keep_pack, kept_folder
from faultiso.session.replaying import replay
from tests.assessment.class_of import (
    BY_LUCK,
    CART,
    GIVEN_UP,
    WHOLE,
    begun_with,
    case_of,
    handed_in,
    sealed_anew,
    split,
    worked,
    written,
)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Home:
    """A home folder with three logs: a whole one, one by luck, one that was left."""
    place = Home(tmp_path_factory.mktemp("made") / "a home")
    worked(place)
    worked(place, BY_LUCK, candidate="15")
    worked(place, GIVEN_UP, candidate="16")
    return place


@pytest.fixture
def room(made: Home, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A share with the logs of three people; the instructor's own home folder is another one."""
    monkeypatch.setenv("FAULTISO_HOME", str(tmp_path / "own"))
    share = tmp_path / "a share"
    shutil.copytree(made.root, share)
    for lock in share.rglob("*.lock"):
        lock.unlink()
    return share


def log(room: Path, number: int = 1) -> Path:
    return next((room / "sessions").glob(f"{number:04d}-*.jsonl"))


def without_shipped(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(copies_module, "shipped_folders", lambda kind: iter(()))


def test_a_submission_has_all_that_grading_needs(room: Path) -> None:
    taken, refused = split(room)
    assert refused == []
    assert [each.candidate for each in taken] == ["14", "15", "16"]
    case, model = case_of()
    whole = taken[0]
    assert (whole.case.digest, whole.model.digest, whole.mode) == (case.digest, model.digest, "quiet")
    assert whole.entries == read(log(room)) and whole.receipt == receipt_of(whole.entries[-1].own)
    assert replay(whole.model, whole.events) == whole.state
    assert whole.begun is not None and whole.ended is not None and whole.begun <= whole.ended
    assert whole.begun.tzinfo is not None


def test_what_is_unfinished_is_told(room: Path) -> None:
    taken, _ = split(room)
    assert [each.finished for each in taken] == [True, True, False]
    assert [each.unfinished for each in taken] == ["", "", "unfinished at 0 min"]


def test_a_zip_file_is_the_same_as_its_folder(room: Path, tmp_path: Path) -> None:
    for number in (1, 2, 3):
        handed_in(Home(room), log(room, number), tmp_path / "in")
    zipped, refused = split(tmp_path / "in")
    assert refused == []
    assert [s.entries for s in zipped] == [s.entries for s in split(room)[0]]
    assert zipped[0].called == "0001-hot-cart.zip (0001-hot-cart.jsonl)"


def test_what_a_zip_file_brings_is_enough(
    room: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = handed_in(Home(room), log(room), tmp_path / "in")
    assert [s.brought for s in split(target)[0]] == [False]
    without_shipped(monkeypatch)
    assert [s.brought for s in split(target)[0]] == [True]


def test_a_folder_that_was_packed_whole_is_read(
    room: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    without_shipped(monkeypatch)
    target = tmp_path / "class.ZIP"
    with ZipFile(target, "w", ZIP_DEFLATED) as archive:
        for path in sorted(room.rglob("*.*")):
            archive.write(path, f"monday/{path.relative_to(room).as_posix()}")
        archive.writestr("__MACOSX/monday/sessions/._0001-hot-cart.jsonl", b"\0\5\x16")
    taken, refused = split(target)
    assert [s.candidate for s in taken] == ["14", "15", "16"] and refused == []


@pytest.mark.parametrize("beside", ["../kept", "kept", "home", "shipped"])
def test_where_copies_are_found(
    beside: str, room: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if beside != "shipped":
        without_shipped(monkeypatch)
    kept = room / "kept"
    match beside:
        case "kept":
            kept.rename(room / "sessions" / "kept")
        case "home":
            (tmp_path / "own").mkdir()
            kept.rename(tmp_path / "own" / "kept")
        case "shipped":
            shutil.rmtree(kept)
    taken, refused = split(log(room))
    assert len(taken) == 1 and refused == []
    assert taken[0].brought == (beside in ("kept", "../kept"))


def test_without_copies_it_says_what_to_do(room: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    without_shipped(monkeypatch)
    shutil.rmtree(room / "kept")
    (refused,) = split(log(room))[1]
    assert refused.kind == "no copy" and 'the model "workshop-power-cart"' in refused.sentence
    assert "faultiso hand-in" in refused.sentence and refused.candidate == "14"


@pytest.mark.parametrize("turned", [False, True])
def test_what_a_log_brought_is_not_lent_to_others(
    turned: bool, room: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whichever of them comes first: it would hang on the order, and on who judges which log."""
    without_shipped(monkeypatch)
    (tmp_path / "far" / "away").mkdir(parents=True)
    bare = shutil.copy(log(room, 2), tmp_path / "far" / "away")
    paths = [log(room), Path(bare), log(room, 3)]
    taken, refused = split(*(reversed(paths) if turned else paths))
    assert sorted(each.candidate for each in taken) == ["14", "16"] and all(each.brought for each in taken)
    assert [(each.candidate, each.kind) for each in refused] == [("15", "no copy")]


@pytest.mark.parametrize("what", ["model", "case"])
def test_a_copy_that_was_altered_is_refused(what: str, room: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    without_shipped(monkeypatch)
    digest = case_of()[0].digest if what == "case" else case_of()[1].digest
    for file in kept_folder(Home(room), digest).iterdir():
        file.write_bytes(file.read_bytes() + b"# made easier\n")
    (refused,) = split(log(room))[1]
    assert (refused.kind, refused.case) == ("wrong copy", CART)
    assert f"the copy of the {what}" in refused.sentence


def test_a_first_line_cannot_reach_for_other_files(room: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("../" * 9 + "etc/hostname", "/etc/hostname", "..", "", "a\0b", "x" * 4_000, ["a"], None):
        begun_with(log(room), file=name)
        (refused,) = split(log(room))[1]
        assert refused.kind == "no copy"


def test_what_cannot_be_read_in_a_folder_is_not_in_it(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_bytes(b"model: a")
    (tmp_path / "folder.yaml").mkdir()
    (tmp_path / "nowhere.yaml").symlink_to(tmp_path / "none")
    files = FolderFiles(tmp_path)
    assert files["a.yaml"] == b"model: a" and len(files) == 3
    odd = ("folder.yaml", "nowhere.yaml", "none.yaml", "../a.yaml", str(tmp_path / "a.yaml"), "x" * 300)
    assert not any(name in files for name in odd)
    assert list(FolderFiles(tmp_path / "none")) == []


def test_models_and_cases_are_read_once(room: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    read_models, read_cases = [], []
    load_files, load_case = copies_module.load_files, copies_module.load_case_bytes

    def counted_model(*given: Any, **more: Any) -> Any:
        read_models.append(given[1])
        return load_files(*given, **more)

    def counted_case(*given: Any, **more: Any) -> Any:
        read_cases.append(given[1])
        return load_case(*given, **more)

    monkeypatch.setattr(copies_module, "load_files", counted_model)
    monkeypatch.setattr(copies_module, "load_case_bytes", counted_case)
    taken, _ = split(room)
    assert len(taken) == 3 and len(read_models) == len(read_cases) == 1
    assert taken[0].model is taken[1].model and taken[0].case is taken[2].case


# tampering


@pytest.mark.parametrize("line", [1, 4, 9])
def test_an_altered_line_is_named(line: int, room: Path) -> None:
    lines = log(room).read_bytes().splitlines(keepends=True)
    lines[line - 1] = lines[line - 1].replace(b'"clock"', b'"watch"')
    log(room).write_bytes(b"".join(lines))
    (refused,) = split(log(room))[1]
    assert (refused.kind, refused.line) == ("altered", line)
    assert refused.sentence == f"line {line} was altered after it was written; not graded."
    assert verify(log(room))[0].line == line


@pytest.mark.parametrize(
    ("edit", "says"),
    [
        (lambda lines: lines[1:], "line 1 was removed"),
        (lambda lines: lines[:3] + lines[4:], "line 4 was removed"),
        (lambda lines: [*lines[:3], lines[4], lines[3], *lines[5:]], "was moved"),
        (lambda lines: [*lines[:4], lines[3], *lines[4:]], "a second copy of line 4"),
        (lambda lines: [*lines[:4], b"{}\n", *lines[4:]], "damaged"),
    ],
)
def test_a_broken_chain_is_refused(edit: Callable[[list[bytes]], list[bytes]], says: str, room: Path) -> None:
    log(room).write_bytes(b"".join(edit(log(room).read_bytes().splitlines(keepends=True))))
    (refused,) = split(log(room))[1]
    assert refused.kind == "altered" and says in refused.sentence and refused.line > 0


def test_a_torn_tail_is_refused(room: Path) -> None:
    log(room).write_bytes(log(room).read_bytes()[:-20])
    (refused,) = split(log(room))[1]
    assert refused.kind == "torn" and refused.line == len(read(log(room))) + 1


@pytest.mark.parametrize("number", range(1, 30))
def test_a_single_changed_byte_never_passes(number: int, room: Path) -> None:
    content = bytearray(log(room).read_bytes())
    at = number * (len(content) // 30)
    content[at] ^= 1
    log(room).write_bytes(content)
    taken, refused = split(log(room))
    assert taken == [] and len(refused) == 1


# what else lies in a folder


def test_a_second_copy_is_told_of_the_first(room: Path, tmp_path: Path) -> None:
    shutil.copy(log(room), room / "sessions" / "0009-copy.jsonl")
    handed_in(Home(room), log(room), room / "zipped")
    taken, refused = split(room)
    assert len(taken) == 3
    assert [each.kind for each in refused] == ["second copy"] * 2
    assert refused[0].sentence == "a second copy of 0001-hot-cart.jsonl."
    assert refused[0].seal == taken[0].seal


def test_a_file_that_is_named_twice_is_read_once(room: Path) -> None:
    taken, refused = split(room, log(room), room / "sessions")
    assert len(taken) == 3 and refused == []


@pytest.mark.parametrize(
    ("content", "kind"),
    [
        (b"", "not a log"),
        (b"hello\n", "not a log"),
        (b'{"a": 1}\n' * 3, "not a log"),
        (b"[" * 100_000 + b"\n", "not a log"),
        (b"\xff\xfe{\0\n", "not a log"),
        (b'{"n":1e999,"at":"","event":"began","data":{},"before":"","own":""}\n', "not a log"),
        (b'{"n":99999999999,"at":"","event":"began","data":[],"before":"","own":""}\n', "altered"),
    ],
)
def test_what_is_no_log_is_told(content: bytes, kind: str, tmp_path: Path) -> None:
    (tmp_path / "odd.jsonl").write_bytes(content)
    (refused,) = split(tmp_path)[1]
    assert refused.kind == kind and str(refused).startswith("odd.jsonl: ")


def test_other_logs_are_told_and_files_of_marks_are_passed_over(tmp_path: Path) -> None:
    written(tmp_path / "a.jsonl", ("began", {"kind": "isolate", "candidate": "7"}))
    marks = written(tmp_path / "marks.jsonl", ("marks began", {}))
    (refused,) = split(tmp_path)[1]
    assert (refused.kind, refused.candidate) == ("not practice", "7")
    assert [each.kind for each in split(marks)[1]] == ["not practice"]


def test_what_is_not_there_is_told(tmp_path: Path) -> None:
    names = [
        tmp_path / "none.jsonl",
        tmp_path / "none.zip",
        tmp_path / "none",
        Path("a\0b"),
        Path("x" * 5_000),
    ]
    refused = split(*names)[1]
    assert [each.kind for each in refused] == ["unreadable"] * 5
    os.mkfifo(tmp_path / "pipe.jsonl")
    assert [each.kind for each in split(tmp_path)[1]] == ["unreadable"]


def test_zip_files_are_bounded(tmp_path: Path) -> None:
    with ZipFile(tmp_path / "bomb.zip", "w", ZIP_DEFLATED) as archive:
        archive.writestr("0001-a.jsonl", b"0" * 60_000_000)
    with ZipFile(tmp_path / "climbs.zip", "w") as archive:
        archive.writestr("../0001-a.jsonl", b"x")
    with ZipFile(tmp_path / "empty.zip", "w") as archive:
        archive.writestr("readme.txt", b"x")
    with ZipFile(tmp_path / "in_zip.zip", "w") as archive:
        archive.write(tmp_path / "empty.zip", "inner.zip")
    (tmp_path / "none.zip").write_bytes(b"PK nothing")
    refused = split(tmp_path)[1]
    assert [(each.path.stem, each.kind) for each in refused] == [
        (name, "unreadable") for name in ("bomb", "climbs", "empty", "in_zip", "none")
    ]
    assert "times its size" in refused[0].sentence and "unpack the outer one" in refused[3].sentence


def test_a_log_is_bounded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gathering, "LARGEST", 1_000)
    (tmp_path / "long.jsonl").write_bytes(b"x" * 1_001)
    assert "larger than" in split(tmp_path)[1][0].sentence


def test_folders_are_bounded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gathering, "MOST_FILES", 3)
    monkeypatch.setattr(gathering, "DEEPEST", 2)
    deep = tmp_path / "deep" / "a" / "b" / "c"
    deep.mkdir(parents=True)
    written(deep / "0001-a.jsonl", ("began", {}))
    (refused,) = split(tmp_path / "deep")[1]
    assert "deeper than 2" in refused.sentence
    for number in range(5):
        written(tmp_path / f"{number}.jsonl", ("began", {"n": number}))
    refused_all = split(tmp_path)[1]
    assert len(refused_all) == 4 and "more than 3 logs" in refused_all[-1].sentence


def test_a_link_that_leads_back_is_no_loop(room: Path) -> None:
    (room / "sessions" / "again").symlink_to(room, target_is_directory=True)
    (room / "sessions" / "0009-link.jsonl").symlink_to(log(room))
    taken, refused = split(room)
    assert len(taken) == 3 and refused == []


HOSTILE = "\x1b]0;owned\x07=cmd|' /C calc'!A0\u202e\n" + "7" * 500


def test_what_a_log_says_of_itself_is_safe_to_show(room: Path) -> None:
    begun_with(log(room), candidate=HOSTILE, case=HOSTILE)
    (taken,), _ = split(log(room))
    assert taken.candidate.isprintable() and len(taken.candidate) <= 40 and "\u202e" not in taken.candidate


def test_a_time_that_is_none_is_not_known(room: Path) -> None:
    for at in ("", "yesterday", "9" * 40, "0001-01-01T00:00:00+23:59"):
        sealed_anew(log(room), lambda n, line: {**line, "at": at} if n == 1 else line)  # noqa: B023
        (taken,), _ = split(log(room))
        assert taken.begun is None and taken.ended is not None


@pytest.mark.parametrize(
    "events",
    [
        [("no such", {})],
        [("picked", {"what": "set", "name": "none", "settings": {"none": "none"}})],
        [("ready", {})],
        [("read", {"sign": "none", "answer": 1})],
        [("undone", {"line": "x"})],
        [("undone", {})],
        [("hinted", {"number": 1, "minutes": "1e999"})],
        [("asked", {"whom": "crew", "minutes": "nan"})],
        [("inspected", {"answer": "yes"})],
        [("seen", {"settings": {"none": "none"}})],
        [("seen", {"settings": {}})],
        [("seen", {"settings": [1]})],
        [("placed", {"settings": {"mains_isolator": "none"}})],
        [("ended", {})],
    ],
)
def test_events_that_make_no_sense_are_told(
    events: list[tuple[str, Any]], room: Path, tmp_path: Path
) -> None:
    begun = [(entry.event, entry.data) for entry in read(log(room)) if entry.number < 4]
    path = written(tmp_path / "odd.jsonl", *begun, *events)
    (refused,) = split(path)[1]
    assert refused.kind == "does not fit" and refused.candidate == "14"


def test_a_condition_has_a_value_that_it_can_have(room: Path, tmp_path: Path) -> None:
    begun = [(entry.event, dict(entry.data)) for entry in read(log(room))]
    (seen,) = (data for event, data in begun if event == "placed")
    name = next(iter(seen["settings"]))
    seen["settings"] = {**seen["settings"], name: "none"}
    (refused,) = split(written(tmp_path / "odd.jsonl", *begun[: begun.index(("placed", seen)) + 1]))[1]
    assert refused.kind == "does not fit" and "a value that it cannot have" in refused.sentence


JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-3, 3) | st.floats() | st.sampled_from(["", "none", "fan_test", "parked"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["a", "sign", "line"]), inner, max_size=3),
    max_leaves=5,
)  # fmt: skip
KEYS = (
    "sign",
    "answer",
    "settings",
    "line",
    "name",
    "what",
    "minutes",
    "says",
    "repair",
    "number",
    "named",
    "how",
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.sampled_from(sorted({value for name, value in vars(kinds).items() if name.isupper() and isinstance(value, str)})),
       st.dictionaries(st.sampled_from(KEYS), JSON, max_size=6), st.integers(1, 20))  # fmt: skip
def test_no_event_brings_reading_down(
    made: Home, tmp_path: Path, event: str, data: dict[str, Any], after: int
) -> None:
    folder = tmp_path / "random"
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    begun = [(entry.event, entry.data) for entry in read(log(made.root))][:after]
    with (folder / "0001-a.jsonl").open("w") as stream:
        for number, (kind, content) in enumerate([*begun, (event, data)], 1):
            line = {"n": number, "at": "", "event": kind, "data": content, "before": "", "own": ""}
            stream.write(json.dumps(line) + "\n")
    sealed_anew(folder / "0001-a.jsonl", lambda n, line: line)
    (found,) = submissions([folder], place=made)
    assert isinstance(found, Submission | Refused)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=300) | st.text(st.sampled_from('{}[]":,n1e\n\\'), max_size=80).map(str.encode),
       st.sampled_from(["a.jsonl", "a.zip", "A.JSONL"]))  # fmt: skip
def test_any_bytes_are_a_refusal(tmp_path: Path, content: bytes, name: str) -> None:
    (tmp_path / name).write_bytes(content)
    (found,) = submissions([tmp_path / name])
    assert isinstance(found, Refused) and str(found).isprintable()


# sealed packs


@pytest.fixture
def sealed_room(tmp_path: Path) -> tuple[Path, Any]:
    """The zip file of a session on a sealed case, and the key."""
    key = key_of("four plain words here")
    pack = seal([find_case(CART)], Models(), About("An exam"), key, Cost(1, 8_192))
    place = Home(tmp_path / "candidate")
    keep_pack(place, pack.digest, pack.data)
    path = worked(place, WHOLE, mode="examination", pack=pack.digest)
    return handed_in(place, path, tmp_path / "in"), key


def test_a_sealed_case_is_opened_with_its_key(sealed_room: tuple[Path, Any]) -> None:
    target, key = sealed_room
    (taken,), _ = split(target, key=key)
    assert taken.case.digest == case_of()[0].digest and taken.mode == "examination" and not taken.brought
    assert "kept/" in "".join(read_archive_file(target)) and not any(
        n.endswith("yaml") for n in read_archive_file(target)
    )


def test_without_the_key_it_is_told(sealed_room: tuple[Path, Any]) -> None:
    target, _ = sealed_room
    assert [(r.kind, "key is needed" in r.sentence) for r in split(target)[1]] == [("sealed", True)]
    other = split(target, key=key_of("four other words here"))[1]
    assert [(r.kind, "does not open" in r.sentence) for r in other] == [("sealed", True)]


def test_a_pack_is_opened_once_and_tried_once(
    sealed_room: tuple[Path, Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target, key = sealed_room
    worked(
        Home(tmp_path / "candidate"),
        GIVEN_UP,
        mode="examination",
        pack=split(target, key=key)[0][0].entries[0].data["pack"],
    )
    tries = []
    opened = copies_module.SealedPack.opened
    monkeypatch.setattr(
        copies_module.SealedPack, "opened", lambda self, key: tries.append(1) or opened(self, key)
    )
    assert len(split(tmp_path / "candidate", key=key)[0]) == 2 and len(tries) == 1
    assert len(split(tmp_path / "candidate", key=key_of("four other words here"))[1]) == 2 and len(tries) == 2


def test_a_pack_that_is_damaged_or_another_one_is_told(sealed_room: tuple[Path, Any], tmp_path: Path) -> None:
    _, key = sealed_room
    room = tmp_path / "candidate"
    (pack,) = room.glob("kept/*/sealed.pack")
    whole = pack.read_bytes()
    other = seal([find_case(CART)], Models(), About("Another exam"), key, Cost(1, 8_192)).data
    for content, kind in ((other, "wrong copy"), (whole[:-9], "sealed"), (b"", "sealed")):
        pack.write_bytes(content)
        assert [each.kind for each in split(room, key=key)[1]] == [kind]
    shutil.rmtree(room / "kept")
    assert [each.kind for each in split(room, key=key)[1]] == ["no copy"]


def test_the_home_folder_may_be_unknown(room: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def unknown() -> Home:
        raise copies_module.HomeError("none")

    monkeypatch.setattr(copies_module, "home", unknown)
    assert Copies()._place is None
    assert len(split(room)[0]) == 3
