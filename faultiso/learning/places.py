"""Where the figures of a model stand in its files, and these files with other figures written there.

Only the spans of changed values differ from the old files, byte for byte.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from pathlib import Path

from faultiso.language.nodes import ListNode, MapNode, Node, Word
from faultiso.language.sources import Sources, with_includes
from faultiso.language.templates import expanded
from faultiso.learning.figures import Figure, levels_together

_LINE_END = re.compile("\r\n|[\n\r\x85\u2028\u2029]")
_MARK = codecs.BOM_UTF8
_LAST_PLACE = Decimal("0.001")  # of every figure from 0.01 on, as it is written


@dataclass(frozen=True)
class Change:
    """A figure that is written anew at a line of a file; ``source``: what stands beside it as such."""

    figure: Figure
    file: str
    line: int
    before: str
    after: str
    source: str = ""


@dataclass(frozen=True)
class NotWritten:
    """A figure that is proposed but not written, and why."""

    figure: Figure
    reason: str


@dataclass(frozen=True)
class Rewritten:
    """The main file anew, and those that it includes by their names."""

    data: bytes
    included: Mapping[str, bytes]
    changes: tuple[Change, ...]
    not_written: tuple[NotWritten, ...]


@dataclass(frozen=True)
class _Span:
    file: str
    start: int
    stop: int
    text: str


def rewritten(path: Path, proposed: Mapping[Figure, float]) -> Rewritten:
    """The model's files with the proposed figures where they stand in them. The model must be valid."""
    sources = _Kept()
    tree = _whole(sources.content(path, str(path)), path, sources)
    found = {figure: [_word(tree, place) for place in figure.paths] for figure in proposed}
    used = _uses(found)
    changes: list[Change] = []
    refused: list[NotWritten] = []
    spans: dict[_Span, str] = {}
    for figure, value in _at_most_one(proposed).items():
        words = [word for word in found[figure] if word is not None]
        reason = _reason(words, sources.texts, used)
        if reason:
            refused.append(NotWritten(figure, reason))
            continue
        for word in words:
            span = _span(word, sources.texts)
            after = written(value, span.text)
            if _number(after) != _number(span.text):
                spans[span] = after
                source = _source(tree, figure)
                changes.append(
                    Change(figure, Path(span.file).name, word.where.line, span.text, after, source)
                )
    new = {file: sources.anew(file, spans) for file in sources.texts}
    data = new.pop(str(path))
    included = {Path(file).name: text for file, text in new.items()}
    return Rewritten(data, included, tuple(changes), tuple(refused))


def _at_most_one(proposed: Mapping[Figure, float]) -> dict[Figure, float]:
    """The levels of a cause, each rounded as it is written, may come to over 1: the largest gives way."""
    found = dict(proposed)
    for together in levels_together(list(proposed)):
        shown = {figure: Decimal(written(found[figure], "0.1")) for figure in together}
        over = sum(shown.values()) - 1
        if over > 0:
            largest = max(together, key=shown.__getitem__)
            steps = (over / _LAST_PLACE).to_integral_value(ROUND_CEILING)
            found[largest] = float(shown[largest] - steps * _LAST_PLACE)
    return found


class _Kept(Sources):
    """Sources that know which files begin with a mark."""

    def __init__(self) -> None:
        super().__init__()
        self.marked: set[str] = set()

    def content(self, path: Path, file: str) -> bytes:
        data = super().content(path, file)
        if data.startswith(_MARK):
            self.marked.add(file)
        return data

    def anew(self, file: str, spans: Mapping[_Span, str]) -> bytes:
        """A file with these spans replaced."""
        own = {span: after for span, after in spans.items() if span.file == file}
        mark = _MARK if file in self.marked else b""
        return mark + _replaced(self.texts[file], own).encode("utf-8")


def _whole(data: bytes, path: Path, sources: Sources) -> MapNode:
    root = sources.tree(data, str(path))
    assert root is not None  # the model was read from it
    return expanded(with_includes(root, path.parent, sources), sources)


def _word(tree: Node, path: Sequence[str | int]) -> Word | None:
    """The value at a path; a case that stands without ``cases``, and one item without brackets, are found."""
    node: Node | None = tree
    steps = list(path)
    while steps and node is not None:
        step = steps.pop(0)
        if isinstance(step, int):
            node = node.items[step] if isinstance(node, ListNode) else node
        elif step == "cases" and isinstance(node, MapNode) and node.get("cases") is None:
            steps.pop(0)
        else:
            node = node.get(step) if isinstance(node, MapNode) else None
    return node if isinstance(node, Word) else None


def _source(tree: Node, figure: Figure) -> str:
    word = _word(tree, (*figure.paths[0][:-1], "source"))
    return str(word) if word is not None else ""


def _uses(found: Mapping[Figure, Sequence[Word | None]]) -> dict[object, int]:
    """How many figures stand at each place: more than one where a template is used more than once."""
    used: dict[object, int] = {}
    for words in found.values():
        for word in words:
            if word is not None:
                used[word.where] = used.get(word.where, 0) + 1
    return used


def _reason(words: Sequence[Word], texts: Mapping[str, str], used: Mapping[object, int]) -> str:
    """Why the figure cannot be written, or ""."""
    if not words:
        return "it does not stand in the file as a figure of its own"
    for word in words:
        line = f"line {word.where.line} of {Path(word.where.file).name}"
        if used[word.where] > 1:
            return f"it stands in a template, {line}, that makes {used[word.where]} such figures"
        if _span(word, texts).text.strip("\"'") != str(word):
            return f"it is filled into a template, {line}"
    return ""


def _span(word: Word, texts: Mapping[str, str]) -> _Span:
    text = texts[word.where.file]
    ends = [0, *(match.end() for match in _LINE_END.finditer(text))]
    start = ends[word.where.line - 1] + word.where.column - 1
    stop = start + word.where.length
    return _Span(word.where.file, start, stop, text[start:stop])


def _number(text: str) -> float:
    return float(text.strip("\"'"))


def _replaced(text: str, spans: Mapping[_Span, str]) -> str:
    for span in sorted(spans, key=lambda each: each.start, reverse=True):
        text = text[: span.start] + spans[span] + text[span.stop :]
    return text


def written(value: float, like: str) -> str:
    """The value in two significant figures, three from 0.1 on, in the manner of the old one."""
    quote = like[0] if like[:1] in ("'", '"') else ""
    if "e" in like.casefold() and value < 0.1:
        mantissa, _, exponent = f"{value:.1e}".partition("e")
        shown = f"{mantissa.removesuffix('.0')}e{int(exponent)}"
    else:
        digits = 2 if value < 0.1 else 3
        shown = f"{Decimal(f'{value:.{digits}g}').normalize():f}"
        if shown == "1":
            shown = "0.999"
    return f"{quote}{shown}{quote}"
