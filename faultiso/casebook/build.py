"""From a case file that was read and found right to the frozen Case."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from faultiso.base.problems import Where
from faultiso.casebook.case import Aim, Case, Pin, Seen, Setting
from faultiso.language.nodes import ListNode, MapNode, Node, Word
from faultiso.model.system import Review

Raw = Mapping[str, Any]
_TEXTS = ("title", "model", "stage", "write_up", "right_end", "approved_data", "good_solution", "notes",
          "model_version", "model_digest", "difficulty")  # fmt: skip
_LISTS = ("kinds", "truth", "prescribed_order", "no_spare", "critical_precautions", "hints")
_REVIEW = ("author", "reviewer", "state", "version")


def build_case(raw: Raw, tree: MapNode, file: str, digest: str) -> Case:
    """The Case of a record without a mistake; ``tree`` is what it was read from."""
    return Case(
        name=str(raw["case"]),
        seen=tuple(_seen(record) for record in raw["seen"]),
        now=_setting(raw["now"]),
        seed=raw["seed"],
        pins=tuple(Pin(_setting(record), _texts(record["shows"])) for record in raw.get("pins", ())),
        beyond_model=raw.get("beyond_model", False),
        says={str(who): tuple(map(str, lines)) for who, lines in raw.get("says", {}).items()},
        aims=tuple(_aim(record) for record in raw["aims"]),
        review=Review(where=_where_of_review(raw), **_review(raw)),
        file=file,
        digest=digest,
        places=dict(_places(tree)),
        **_plain(raw),
    )


def _plain(raw: Raw) -> dict[str, Any]:
    """The fields that are texts and lists of texts."""
    texts = {key: str(raw[key]) for key in _TEXTS if key in raw}
    return {**texts, **{key: tuple(map(str, raw[key])) for key in _LISTS if key in raw}}


def _where_of_review(raw: Raw) -> Where:
    word: Word = raw.get("state", raw["case"])
    return word.where


def _review(raw: Raw) -> dict[str, Any]:
    return {key: str(raw[key]) for key in _REVIEW if key in raw}


def _seen(record: Raw) -> Seen:
    normal = record.get("others") == "normal"
    return Seen(_setting(record), _texts(record["reports"]), "normal" if normal else "unknown")


def _setting(record: Raw) -> Setting:
    return Setting(str(record.get("situation", "")), _texts(record.get("differs", {})))


def _aim(record: Raw) -> Aim:
    return Aim(str(record["aim"]), str(record["text"]), str(record.get("syllabus", "")))


def _texts(table: Mapping[Word, Word]) -> dict[str, str]:
    return {str(name): str(value) for name, value in table.items()}


def _places(node: Node, path: str = "") -> Iterator[tuple[str, Where]]:
    """The place of everything by its path, such as ``pins.0.shows.pump_1_caution``; a name at its value."""
    yield path, node.where
    inner: tuple[tuple[object, Node], ...] = ()
    if isinstance(node, MapNode):
        inner = node.entries
    elif isinstance(node, ListNode):
        inner = tuple(enumerate(node.items))
    for key, value in inner:
        yield from _places(value, f"{path}.{key}".lstrip("."))
