"""Sealed packs: what goes in comes out, with the key alone; nothing of it is seen before, and nothing can be changed."""

from __future__ import annotations

import hashlib
import json
import re
import shutil
import traceback
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.base.archive import ArchiveError, zip_of
from faultiso.base.problems import FaultisoError, InvalidModel, UsageError
from faultiso.casebook.case import Case
from faultiso.casebook.library import case_files
from faultiso.casebook.load import read_case
from faultiso.casebook.models import Models
from faultiso.casebook.packs import header as headers
from faultiso.casebook.packs.contents import LIST, Contents, case_path, packed
from faultiso.casebook.packs.envelope import LARGEST, content_of, read_envelope, sealed
from faultiso.casebook.packs.header import About, this_version
from faultiso.casebook.packs.key import Cost, Key, PackError, judge_new, key_in, key_of, secret_of
from faultiso.casebook.packs.pack import Pack, SealedPack, open_pack, read_pack
from faultiso.casebook.packs.sealing import seal
from faultiso.model.system import Model
from tests.casebook.frame import DARK, LAMP, SMALL, replaced

KEY = key_of("four plain words here")
CHEAP = Cost(1, 8_192)
ABOUT = About("Hydraulics, part 2", "Room 3, Friday")
SHIPPED = case_files()
FEW = {name: SHIPPED[name] for name in ("first-light", "hot-cart", "slow-gear")}
PACK = seal(tuple(FEW.values()), Models(), ABOUT, KEY, CHEAP)


def envelope_of(content: bytes, cases: int = 1) -> SealedPack:
    """A pack with any content, made by somebody who has the key."""
    return SealedPack(read_envelope(sealed(content, ABOUT, cases, KEY, CHEAP), "x.pack"), "x.pack")


def with_checksum(data: bytes) -> bytes:
    """The bytes as somebody would leave them who changes a pack and makes the checksum anew."""
    return data[:-32] + hashlib.sha256(data[:-32]).digest()


def refusal(data: bytes, key: Key = KEY) -> str:
    """The sentence with which bytes are not opened."""
    with pytest.raises(PackError) as refused:
        SealedPack(read_envelope(data, "x.pack"), "x.pack").opened(key)
    text = str(refused.value)
    assert text.startswith("x.pack: ") and text.endswith(".") and text.isprintable()
    return text


def secrets(case: Case, model: Model) -> list[str]:
    """What must not be seen of a case before it is opened."""
    units = [model.components[model.faults[fault].component] for fault in case.truth]
    names = [*case.truth, *(unit.title for unit in units), *(unit.name for unit in units)]
    return [
        *names,
        f"seed: {case.seed}",
        *case.hints,
        case.right_end,
        case.good_solution[:60],
        case.write_up[:40],
    ]


# what goes in comes out


def test_a_case_comes_out_as_it_went_in(tmp_path: Path) -> None:
    (tmp_path / "exam.pack").write_bytes(PACK.data)
    pack = open_pack(tmp_path / "exam.pack", KEY)
    assert pack.sealed.digest == PACK.digest
    assert_same(pack, FEW)


@pytest.mark.long
def test_every_shipped_case_comes_out_as_it_went_in() -> None:
    pack = seal(tuple(SHIPPED.values()), Models(), ABOUT, KEY, CHEAP).opened(KEY)
    assert_same(pack, SHIPPED)


def assert_same(pack: Pack, files: Mapping[str, Path]) -> None:
    """The pack holds what these files hold, and not a word more."""
    assert pack.names == tuple(files)
    for name, path in files.items():
        case, model = read_case(path)
        loaded = pack.load(name)
        assert loaded.case is not None and loaded.model is not None
        assert (loaded.case.truth, loaded.case.pins, loaded.case.seed) == (case.truth, case.pins, case.seed)
        assert (loaded.case.digest, loaded.model.digest) == (case.digest, model.digest)
        assert loaded.problems == () and loaded.texts == {}


def test_cases_of_one_model_share_it() -> None:
    pack = PACK.opened(KEY)
    loaded = [pack.load(name) for name in pack.names]
    models = {id(one.model): one.model.name for one in loaded if one.model}
    assert len(models) == len(set(models.values())) < len(loaded)


def test_a_model_that_lies_beside_its_case_comes_along(tmp_path: Path) -> None:
    for file in (DARK, LAMP):
        shutil.copy(file, tmp_path)
    made = seal([tmp_path / "dark.yaml", SMALL], Models(), ABOUT, KEY, CHEAP)
    shutil.rmtree(tmp_path)
    pack = made.opened(KEY)
    assert pack.names == ("dark", "small")
    model = pack.load("dark").model
    assert model is not None and model.name == "lamp"


def test_nothing_is_written_and_nothing_is_read_but_the_pack(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("open", "write_bytes", "write_text", "mkdir", "is_file"):
        monkeypatch.setattr(Path, name, lambda *_, **__: pytest.fail("a file was touched"))
    pack = PACK.opened(KEY)
    assert all(pack.load(name).case for name in pack.names)


def test_what_everybody_may_know_is_known_without_the_key() -> None:
    header = read_envelope(PACK.data, "x").header
    assert header.about == ABOUT and header.cases == len(FEW) and header.needs == this_version()
    first = PACK.data[: PACK.data.index(b"}\n")].decode("ascii")
    assert "not approved maintenance data" in first and "Room 3, Friday" in first


def test_the_same_cases_sealed_twice_are_other_bytes() -> None:
    again = seal(tuple(FEW.values()), Models(), ABOUT, KEY, CHEAP)
    assert again.data != PACK.data and len(again.data) == len(PACK.data)


def test_the_length_tells_little() -> None:
    one, two = (seal(paths, Models(), ABOUT, KEY, CHEAP) for paths in ([SMALL], [SMALL, DARK]))
    assert len(one.data) == len(two.data)


# nothing is seen


def some(names: Iterable[str]) -> list[object]:
    """Cases for a test each: a few always, all others when there is time."""
    return [
        pytest.param(SHIPPED[name], id=name, marks=() if name in FEW else pytest.mark.long) for name in names
    ]


@pytest.mark.parametrize("path", some(SHIPPED))
def test_nothing_of_a_case_is_in_the_bytes(path: Path) -> None:
    case, model = read_case(path)
    pack = seal([path], Models(), ABOUT, KEY, CHEAP)
    bytes_seen = pack.data.decode("latin-1")
    shown = " ".join(map(repr, (pack, pack.header, pack.opened(KEY), pack.opened(KEY).load(case.name).case)))
    for secret in secrets(case, model):
        assert secret not in bytes_seen
        assert secret not in shown
    assert "four plain words" not in bytes_seen + repr(KEY)


def test_the_parts_show_nothing_when_they_are_printed() -> None:
    envelope = read_envelope(PACK.data, "x")
    contents = Contents({"a": "m"}, {"cases/a.yaml": b"truth: [pump.worn]"})
    assert "pump" not in repr(contents) and "data" not in repr(envelope)


def test_a_case_that_cannot_be_used_is_told_without_its_words() -> None:
    text = replaced(SMALL, ("display.dead", "display.melted")).encode()
    model = (SMALL.parents[2] / "models" / "workshop-power-cart.yaml").read_bytes()
    files = {case_path("small"): text, "models/m/m.yaml": model}
    pack = envelope_of(packed(Contents({"small": "models/m/m.yaml"}, files))).opened(KEY)
    with pytest.raises(PackError) as refused:
        pack.load("small")
    told = "".join(traceback.format_exception(refused.value))
    assert 'the case "small" in this pack cannot be used: ask whoever sealed it' in str(refused.value)
    assert "melted" not in told and "display" not in told


def test_a_case_under_another_name_is_refused() -> None:
    files = {case_path("other"): DARK.read_bytes(), "models/m/lamp.yaml": LAMP.read_bytes()}
    pack = envelope_of(packed(Contents({"other": "models/m/lamp.yaml"}, files))).opened(KEY)
    with pytest.raises(PackError, match="cannot be used"):
        pack.load("other")


def test_an_unknown_name_is_told_with_the_nearest() -> None:
    with pytest.raises(UsageError, match="nearest: hot-cart"):
        PACK.opened(KEY).load("hot-car")


# nothing can be changed


@given(st.integers(0, len(PACK.data) - 1), st.integers(1, 255))
def test_any_byte_that_is_changed_is_refused(position: int, change: int) -> None:
    changed = bytearray(PACK.data)
    changed[position] ^= change
    refusal(bytes(changed))


@given(st.integers(0, len(PACK.data) - 33), st.integers(1, 255))
def test_any_byte_that_is_changed_with_care_is_refused(position: int, change: int) -> None:
    changed = bytearray(PACK.data)
    changed[position] ^= change
    refusal(with_checksum(bytes(changed)))


def test_every_byte_of_the_header_counts() -> None:
    for position in range(PACK.data.index(b"}\n") + 40):
        changed = bytearray(PACK.data)
        changed[position] ^= 1
        refusal(with_checksum(bytes(changed)))


@given(st.integers(0, len(PACK.data) - 1))
def test_a_pack_that_is_cut_short_is_refused(length: int) -> None:
    refusal(PACK.data[:length])


def test_what_is_wrong_is_told_by_its_kind() -> None:
    flipped = PACK.data[:-100] + bytes([PACK.data[-100] ^ 1]) + PACK.data[-99:]
    assert "cut short" in refusal(PACK.data[:-5])
    assert "followed by something else" in refusal(PACK.data + b"x")
    assert "is damaged" in refusal(flipped)
    assert "the key is another one, or somebody changed" in refusal(with_checksum(flipped))
    assert "the key is another one" in refusal(PACK.data, key_of("another passphrase"))
    assert "this is not a pack" in refusal(b"PK\x03\x04 something")
    assert "this is not a pack" in refusal(b"")
    assert "larger than 64 MB" in refusal(PACK.data + bytes(LARGEST))


# headers from anywhere


def header_with(**changes: object) -> bytes:
    """The pack with other entries in its header, and a checksum that fits."""
    first, line, rest = PACK.data.split(b"\n", 2)
    record = json.loads(line) | changes
    return with_checksum(b"\n".join((first, json.dumps(record).encode(), rest)))


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"needs": "9000.1"}, "needs faultiso 9000.1 or later"),
        ({"needs": "\x1b[31m9"}, "damaged, or was changed"),
        ({"method": "none"}, "locked in an unusual way"),
        ({"memory": 2**40}, "locked in an unusual way"),
        ({"memory": 16}, "locked in an unusual way"),
        ({"passes": 4_000_000_000}, "locked in an unusual way"),
        ({"passes": True}, "damaged, or was changed"),
        ({"passes": -1}, "damaged, or was changed"),
        ({"salt": "00"}, "locked in an unusual way"),
        ({"salt": "xy"}, "damaged, or was changed"),
        ({"cases": 0}, "damaged, or was changed"),
        ({"cases": 10**9}, "damaged, or was changed"),
        ({"title": ["a"]}, "damaged, or was changed"),
        ({"size": 10**12}, "cut short"),
        ({"title": "x" * 40_000}, "damaged, or was changed"),
        ({"title": "Another title"}, "somebody changed the file"),
        ({"note": "no room"}, "somebody changed the file"),
        ({"cases": 5}, "somebody changed the file"),
    ],
)  # fmt: skip
def test_headers_are_judged_before_anything_costs_time(changes: dict[str, object], told: str) -> None:
    assert told in refusal(header_with(**changes))


@pytest.mark.parametrize("line", [b"", b"[]", b"{}", b"[" * 20_000, b"{", b"\xff\xfe", b"null"])
def test_a_header_that_is_none_is_refused(line: bytes) -> None:
    assert "damaged, or was changed" in refusal(b"faultiso-pack 1\n" + line + b"\nrest")


def test_another_form_is_told() -> None:
    assert "has form 2; this faultiso knows form 1" in refusal(PACK.data.replace(b"pack 1\n", b"pack 2\n", 1))


def test_an_older_faultiso_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(headers, "__version__", "0.0.9.dev3")
    assert f"needs faultiso {this_version()} or later" not in refusal(PACK.data)
    assert "this is 0.0.9" in refusal(PACK.data)


def test_a_newer_faultiso_opens_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(headers, "__version__", "12.0")
    assert PACK.opened(KEY).names


def test_titles_and_notes_are_cleaned_on_their_way_in_and_out() -> None:
    about = About("\x1b[31mred\x07\n\u202eTitle " + "x" * 300, "one\r\ntwo\x00\x1b]0;t\x07" + "y" * 3_000)
    assert about.title.startswith("red Title x") and len(about.title) == 100
    assert about.note.startswith("one\ntwo") and len(about.note) == 2_000
    foreign = SealedPack(
        read_envelope(header_with(title="a\x1b[2Jb\u202e", note="\x9bK"), "x.pack"), "x.pack"
    )
    assert (foreign.header.about.title, foreign.header.about.note) == ("ab", "")


@given(st.text(max_size=3_000), st.text(max_size=3_000))
def test_any_title_and_note_can_be_sealed(title: str, note: str) -> None:
    about = About(title, note)
    envelope = read_envelope(sealed(b"content", about, 1, KEY, CHEAP), "x")
    assert envelope.header.about == about and content_of(envelope, KEY, "x") == b"content"


# contents from anywhere: somebody with the key made them


@pytest.mark.parametrize("name", ["../../up.yaml", "/tmp/up.yaml", "C:/up.yaml", "a/../../b", "cases\\b"])
def test_contents_that_climb_are_refused(name: str) -> None:
    with pytest.raises(ArchiveError, match="not a name that stays in its folder"):
        envelope_of(zip_of({name: b"x"})).opened(KEY)


@pytest.mark.parametrize(
    "listed",
    [b"", b"[]", b"{}", b'{"cases": []}', b'{"cases": {}}', b'{"cases": {"a": 1}}', b'{"cases": {"../a": "m"}}', b"[" * 9_000],
)  # fmt: skip
def test_a_list_that_is_none_is_refused(listed: bytes) -> None:
    with pytest.raises(PackError, match="the list of what is in the pack cannot be read"):
        envelope_of(zip_of({LIST: listed, "m": b""})).opened(KEY)


def test_what_is_listed_must_be_there() -> None:
    with pytest.raises(PackError, match="a file is missing"):
        envelope_of(zip_of({LIST: b'{"cases": {"a": "m"}}', "m": b""})).opened(KEY)
    one = packed(Contents({"a": "m"}, {case_path("a"): b"", "m": b""}))
    with pytest.raises(PackError, match="another number of cases"):
        envelope_of(one, cases=2).opened(KEY)
    with pytest.raises(PackError, match="cannot be used"):
        envelope_of(one).opened(KEY).load("a")


@given(st.binary(max_size=400))
def test_any_content_is_opened_or_refused(content: bytes) -> None:
    try:
        envelope_of(content).opened(KEY)
    except FaultisoError as error:
        assert str(error).startswith("x.pack: ")


# keys


def test_a_key_is_the_same_however_it_is_typed_or_written(tmp_path: Path) -> None:
    file = tmp_path / "key.txt"
    for content in (
        "gerät und schlüssel",
        "\ufeffgerät und schlüssel\r\n",
        "  gera\u0308t und schlu\u0308ssel\n",
    ):
        file.write_bytes(content.encode("utf-8"))
        assert key_in(file) == key_of("gerät und schlüssel")


def test_a_file_of_any_bytes_is_a_key(tmp_path: Path) -> None:
    content = bytes(range(255, 200, -1))
    (tmp_path / "key").write_bytes(content)
    assert key_in(tmp_path / "key") == Key(content)


def test_keys_that_are_none_are_told(tmp_path: Path) -> None:
    for content, told in ((b"", "is empty"), (b" \n", "is empty"), (b"\xff" * 70_000, "longer than 65,536")):
        (tmp_path / "key").write_bytes(content)
        with pytest.raises(UsageError, match=told):
            key_in(tmp_path / "key")
    with pytest.raises(UsageError, match="cannot be read"):
        key_in(tmp_path)
    with pytest.raises(UsageError, match="has 5 characters; expected at least 12"):
        judge_new(key_of("short"))
    with pytest.raises(UsageError, match="has 5 characters"):
        seal([SMALL], Models(), ABOUT, key_of("short"), CHEAP)


def test_a_guess_has_its_price_unless_a_test_says_otherwise() -> None:
    assert Cost().passes >= 3 and Cost().memory >= 64 << 20  # RFC 9106, part 4, second choice
    assert str(Cost()) == "Argon2id, 3 passes over 256 MB"
    assert seal([SMALL], Models(), ABOUT, KEY).header.cost == Cost()


# what is not sealed


def test_a_case_with_an_error_is_not_sealed(tmp_path: Path) -> None:
    (tmp_path / "small.yaml").write_text(replaced(SMALL, ("display.dead", "display.melted")), "utf-8")
    with pytest.raises(InvalidModel, match="melted"):
        seal([tmp_path / "small.yaml"], Models(), ABOUT, KEY, CHEAP)


def test_two_cases_of_one_name_are_not_sealed(tmp_path: Path) -> None:
    shutil.copy(SMALL, tmp_path)
    with pytest.raises(UsageError, match='another case in this pack is called "small"'):
        seal([SMALL, tmp_path / "small.yaml"], Models(), ABOUT, KEY, CHEAP)
    with pytest.raises(UsageError, match="expected 1 to 300"):
        seal([], Models(), ABOUT, KEY, CHEAP)


@pytest.mark.parametrize(
    "about", [About("Pressure-Display"), About("Exam", "it is the pressure display again")]
)
def test_a_title_that_names_what_is_faulty_is_not_sealed(about: About) -> None:
    with pytest.raises(UsageError, match=re.escape('names what is faulty in "small"')):
        seal([SMALL], Models(), about, KEY, CHEAP)


def test_a_case_that_changes_meanwhile_is_not_sealed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shutil.copy(SMALL, tmp_path)
    from faultiso.casebook.packs import sealing

    changed = replaced(SMALL, ("seed: 3", "seed: 4")).encode()
    original = sealing.file_bytes
    monkeypatch.setattr(
        sealing, "file_bytes", lambda path, file: changed if path.stem == "small" else original(path, file)
    )
    with pytest.raises(UsageError, match="changed while it was being sealed"):
        seal([tmp_path / "small.yaml"], Models(), ABOUT, KEY, CHEAP)


def test_a_pack_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="the pack cannot be read: No such file"):
        read_pack(tmp_path / "none.pack")


def test_a_machine_without_the_memory_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    from nacl import exceptions
    from nacl.pwhash import argon2id

    for error in (exceptions.RuntimeError("key derivation"), MemoryError()):

        def kdf(*_: object, error: Exception = error, **__: object) -> bytes:
            raise error

        monkeypatch.setattr(argon2id, "kdf", kdf)
        assert "has not the 256 MB" in str(_failed(lambda: secret_of(KEY, bytes(16), Cost())))


def _failed(action: Callable[[], object]) -> PackError:
    with pytest.raises(PackError) as failed:
        action()
    return failed.value
