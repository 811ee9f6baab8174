"""What is wrong with the writing itself: characters that cannot be read, and YAML errors in plain words."""

from __future__ import annotations

import re
import unicodedata
from typing import Any

from faultiso.base.problems import Problem, Where

LINE_END = re.compile(r"\r\n|\r|\n")
#: control characters, line ends that editors do not count, and signs that turn the writing round
_UNREADABLE = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f"
    "\u2028\u2029\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff\ufffe\uffff\ud800-\udfff]"
)
_TAB_INDENT = re.compile(r"^ *\t", re.MULTILINE)

#: (part of the library's context, part of its problem, our sentence, point at the opening?)
_SENTENCES = (
    ("", "maximum nesting depth", "nested too deeply; a model needs fewer than ten levels", False),
    ("flow sequence", "", 'this list has no end, or a comma is missing in it; expected "," or "]"', True),
    ("flow mapping", "", 'this group has no end, or a comma is missing in it; expected "," or "}"', True),
    ("quoted scalar", "end of stream", "the text in quotes that starts here has no closing quote", True),
    ("quoted scalar", "", "a backslash in double quotes needs care; write the text in single quotes", False),
    ("simple key", "':'", 'a name without a colon; expected "name: value"', True),
    (
        "block mapping",
        "",
        'this line does not line up with the group that it belongs to; expected "name: value" '
        "indented like its neighbours",
        False,
    ),
    (
        "block collection",
        "",
        'this line does not line up with the list before it; expected "- " indented like its neighbours',
        False,
    ),
    ("", "mapping values", 'a colon where none can stand; put a text that contains ": " in quotes', False),
    ("", "cannot start any token", "a text cannot begin with this sign; put it in quotes", False),
    ("flow node", "", "a value is missing here; is there a comma or a bracket too many?", False),
    ("block node", "", "nothing can begin with this sign here; is a bracket left over?", False),
    ("block scalar", "", 'a text block begins with "|" or ">" and its lines are indented under it', False),
    ("directive", "", 'a line that begins with "%" is not allowed', False),
)


def unreadable_character(text: str, file: str) -> Problem | None:
    """The first character that no line of a model can hold, or a tab that indents; None if all is well."""
    found = _UNREADABLE.search(text)
    if found:
        name = unicodedata.name(found[0], "a control character").lower()
        message = f"a character that cannot be read stands here ({name}, U+{ord(found[0]):04X}); take it out"
        return Problem("character", position(text, found.start(), file), message)
    tab = _TAB_INDENT.search(text)
    if tab:
        message = "a tab indents this line; expected blanks"
        return Problem("tab", position(text, tab.end() - 1, file), message)
    return None


def position(text: str, index: int, file: str) -> Where:
    """Line and column of the character at ``index``."""
    ends = [end.end() for end in LINE_END.finditer(text, 0, index)]
    return Where(file, len(ends) + 1, index - (ends[-1] if ends else 0) + 1)


def _begun(text: str, mark: Any) -> bool:
    """Whether something stands before the mark on its line."""
    lines = LINE_END.split(text)
    return mark.line < len(lines) and bool(lines[mark.line][: mark.column].strip(" -"))


def reworded(error: Any, text: str, file: str) -> Problem:
    """One clear sentence for an error of the YAML library."""
    context, problem = getattr(error, "context", None) or "", getattr(error, "problem", None) or ""
    mark = getattr(error, "problem_mark", None)
    sentence = f"this cannot be read as YAML ({problem or 'unknown error'})"
    for in_context, in_problem, words, at_opening in _SENTENCES:
        if in_context in context and in_problem in problem:
            sentence = words
            mark = (getattr(error, "context_mark", None) or mark) if at_opening else mark
            break
    if mark and sentence.startswith("this line") and _begun(text, mark):
        sentence = "something is left over here; put a text that begins with a bracket or a quote in quotes"
    where = Where(file, mark.line + 1, mark.column + 1) if mark else Where(file)
    return Problem("syntax", where, sentence)
