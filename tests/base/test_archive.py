"""Zip files from people: what is right comes out as it went in, and nothing else gets in."""

from __future__ import annotations

import io
import stat
import struct
import warnings
import zipfile
from pathlib import Path
from zipfile import ZIP_BZIP2, ZIP_DEFLATED, ZipFile, ZipInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.base.archive import ArchiveError, Limits, is_plain_name, read_archive, read_archive_file, zip_of
from faultiso.base.problems import UsageError

PARTS = st.text(st.sampled_from("abcdefghij-_019 .é"), min_size=1, max_size=8).filter(is_plain_name)
PATHS = st.lists(PARTS, min_size=1, max_size=3).map("/".join)


def zipped(*entries: tuple[str | ZipInfo, bytes], packing: int = ZIP_DEFLATED) -> bytes:
    """A zip file with just these entries, however wrong."""
    stream = io.BytesIO()
    with warnings.catch_warnings(), ZipFile(stream, "w", packing) as archive:
        warnings.simplefilter("ignore")  # the same name twice is what is wanted
        for name, content in entries:
            archive.writestr(name, content)
    return stream.getvalue()


def refusal(data: bytes, limits: Limits | None = None) -> str:
    """The sentence with which it is refused."""
    with pytest.raises(ArchiveError) as refused:
        read_archive(data, "class.zip", limits or Limits())
    text = str(refused.value)
    assert text.startswith("class.zip: ") and text.endswith(".") and "\n" not in text
    assert text.isprintable()
    return text


@given(st.dictionaries(PATHS, st.binary(max_size=200), max_size=6))
def test_what_goes_in_comes_out(files: dict[str, bytes]) -> None:
    folders = {name[:at] for name in files for at, letter in enumerate(name) if letter == "/"}
    data = zip_of(files)
    assert data == zip_of(dict(reversed(files.items())))
    if folders & set(files):
        assert "is a file and a folder" in refusal(data)
    else:
        assert read_archive(data, "class.zip") == files


def test_a_folder_that_was_packed_again_by_hand_is_read(tmp_path: Path) -> None:
    (tmp_path / "class.zip").write_bytes(
        zipped(("kept/", b""), ("kept/a/", b""), ("kept/a/m.yaml", b"model: a"))
    )
    assert read_archive_file(tmp_path / "class.zip") == {"kept/a/m.yaml": b"model: a"}


@pytest.mark.parametrize(
    "name",
    ["../up", "a/../../up", "/etc/passwd", "//host/share", "C:/up", "C:up", "..\\up", "a\\b", "a//b", "./a", "a/.", "nul",
     "a/COM1.txt", "tail.", "tail ", " head", "a\x1b[31mb", "a\nb", "a\u202eb", "a?b", "a:stream"],
)  # fmt: skip
def test_names_that_climb_or_mean_something_are_refused(name: str) -> None:
    assert "is not a name that stays in its folder" in refusal(zipped((name, b"x")))


def test_a_name_that_ends_early_is_refused() -> None:
    data = zipped(("safe.yaml_up", b"x")).replace(b"safe.yaml_up", b"safe.yaml\0up")
    assert "is not a name" in refusal(data)


def test_names_are_bounded() -> None:
    assert "deeper than 8 folders" in refusal(zipped(("a/" * 8 + "b", b"x")))
    assert "longer than 120 characters" in refusal(zipped(("b" * 121, b"x")))


@pytest.mark.parametrize("pair", [("a", "a"), ("a.yaml", "A.YAML"), ("\u00e9", "e\u0301"), ("K", "\u212a")])
def test_two_names_for_one_file_are_refused(pair: tuple[str, str]) -> None:
    assert "is in it twice" in refusal(zipped(*((name, b"x") for name in pair)))


@pytest.mark.parametrize("kind", [stat.S_IFLNK, stat.S_IFIFO, stat.S_IFCHR, stat.S_IFSOCK])
def test_links_and_devices_are_refused(kind: int) -> None:
    entry = ZipInfo("link")
    entry.external_attr = (kind | 0o777) << 16
    assert "is a link or a device" in refusal(zipped((entry, b"/etc/passwd")))


def test_a_link_that_looks_like_a_folder_is_refused() -> None:
    entry = ZipInfo("link/")
    entry.external_attr = (stat.S_IFLNK | 0o777) << 16
    assert "is a link or a device" in refusal(zipped((entry, b"")))


def test_thousands_of_files_are_refused() -> None:
    data = zipped(*((f"{number}", b"") for number in range(1_001)))
    assert "more files than 1000" in refusal(data)


def test_a_list_that_is_longer_than_stated_is_refused_before_it_is_read() -> None:
    data = bytearray(zipped(*((f"{number}", b"") for number in range(30_000))))
    struct.pack_into("<2H", data, len(data) - 14, 1, 1)
    assert "more files than 1000" in refusal(bytes(data))
    few = bytearray(zipped(*((f"{number}", b"") for number in range(9))))
    struct.pack_into("<2H", few, len(few) - 14, 1, 1)
    assert "states 1 files and lists 9" in refusal(bytes(few))


def test_what_unpacks_to_very_much_is_refused_before_it_is_unpacked(monkeypatch: pytest.MonkeyPatch) -> None:
    bomb = zipped(("bomb", b"\0" * 20_000_000))
    many = zipped(*((f"{number}", b"\0" * 900_000) for number in range(20)))
    monkeypatch.setattr(zipfile.ZipFile, "open", lambda *_: pytest.fail("was unpacked"))
    assert "more than 200 times its size" in refusal(bomb)
    assert "it unpacks to 18 MB; expected at most 10 MB" in refusal(many, Limits(unpacked=10_000_000))


def test_a_size_that_is_a_lie_is_refused() -> None:
    data = zipped(("bomb", b"\0" * 5_000_000))
    small = struct.pack("<L", 5_000_000)
    assert data.count(small) == 2
    assert "damaged" in refusal(data.replace(small, struct.pack("<L", 1_000)))
    honest = zipped(("a", b"abc" * 100))
    assert "not as long as stated" in refusal(honest.replace(struct.pack("<L", 300), struct.pack("<L", 900)))


def test_files_that_lie_one_over_the_other_are_refused() -> None:
    """Many entries of the list for one packed file: each seems small, all together are very much."""
    data = zipped(*((f"{number}", bytes(range(256)) * 40) for number in range(9)))
    at = data.index(b"PK\x01\x02")
    body, listed = data[:at], bytearray(data[at:])
    packed = struct.unpack_from("<L", listed, 20)[0]
    length = 46 + 1
    for number in range(9):
        struct.pack_into("<L", listed, number * length + 20, packed * 9)
    assert "lie one over the other" in refusal(body + bytes(listed))


def test_passwords_and_unusual_packing_are_refused() -> None:
    locked = bytearray(zipped(("a", b"x")))
    at = bytes(locked).index(b"PK\x01\x02")
    locked[at + 8] |= 1
    assert "locked with a password" in refusal(bytes(locked))
    assert "unusual way" in refusal(zipped(("a", b"x"), packing=ZIP_BZIP2))


def test_what_is_no_whole_zip_file_is_refused(tmp_path: Path) -> None:
    whole = zipped(("a", b"x" * 50), ("b", b"y"))
    for data in (b"", b"text", whole[:-1], whole + b" ", b"PK\x05\x06" + b"\0" * 10):
        assert "not a zip file" in refusal(data)
    assert "expected a smaller zip file" in refusal(whole, Limits(packed=10))
    with pytest.raises(UsageError, match="No such file"):
        read_archive_file(tmp_path / "none.zip")


def test_zip_files_for_huge_files_are_refused() -> None:
    whole = zipped(("a", b"x"))
    locator = struct.pack("<4sLQL", b"PK\x06\x07", 0, 0, 1)
    assert "for huge files" in refusal(whole[:-22] + locator + whole[-22:])


def test_no_bit_changes_what_is_read() -> None:
    """It is refused, or it was one that does not matter, such as a time."""
    files = {"log.jsonl": b'{"n":1}\n' * 40, "kept/m.yaml": b"model: m"}
    data = zip_of(files)
    for bit in range(8 * len(data)):
        changed = bytearray(data)
        changed[bit // 8] ^= 1 << bit % 8
        try:
            assert read_archive(bytes(changed), "class.zip") == files
        except ArchiveError:
            continue


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    end = struct.pack("<4s4H2LH", b"PK\x05\x06", 0, 0, 1, 1, min(len(data), 90), 0, 0)
    for content in (data, data + end):
        try:
            read_archive(content, "class.zip")
        except ArchiveError as error:
            assert str(error).startswith("class.zip: ")
