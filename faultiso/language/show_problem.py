"""A problem as people read it: place and sentence, then the line of the file with the wrong word marked."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping

from faultiso.base.problems import Problem
from faultiso.language.syntax import LINE_END

_INDENT = "    "


def render(problem: Problem, text: str = "", width: int = 80) -> str:
    """``file:line:column: sentence``, wrapped; the source line from ``text`` under it, with carets.

    Long source lines are cut round the marked word, with "..." where something is left out. Control
    characters of the source are shown as "?", so that a file cannot play with the terminal.
    """
    warning = "warning: " if problem.severity == "warning" else ""
    hint = f"; nearest: {problem.nearest}" if problem.nearest else ""
    sentence = _clean(f"{problem.where}: {warning}{problem.message}{hint}".removeprefix(": "))
    lines = textwrap.wrap(sentence, width, break_long_words=False, break_on_hyphens=False)
    return "\n".join([*lines, *_excerpt(problem, text, width)])


def render_all(problems: tuple[Problem, ...], texts: Mapping[str, str], width: int = 80) -> str:
    """All problems, each with the line of its own file, and a line that counts them."""
    shown = [render(problem, texts.get(problem.where.file, ""), width) for problem in problems]
    return "\n".join([*shown, "", counted(problems)] if shown else [])


def counted(problems: tuple[Problem, ...]) -> str:
    """``3 problems: 2 errors, 1 warning.``"""
    errors = sum(problem.severity == "error" for problem in problems)
    warnings = len(problems) - errors
    parts = [_count(number, word) for number, word in ((errors, "error"), (warnings, "warning")) if number]
    if len(parts) == 1:
        return f"{parts[0]}."
    return f"{_count(len(problems), 'problem')}: {', '.join(parts)}."


def _count(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"


def _excerpt(problem: Problem, text: str, width: int) -> list[str]:
    lines = LINE_END.split(text) if text else []
    if not 0 < problem.where.line <= len(lines):
        return []
    line = _clean(lines[problem.where.line - 1])
    head = f"{_INDENT}{problem.where.line:>6} | "
    start = max(problem.where.column - 1, 0)
    length = max(1, min(problem.where.length, len(line) - start))
    line, start = _without_indent(line, start)
    line, start, length = _cut(line, start, length, max(width - len(head), 20))
    return [f"{head}{line}".rstrip(), " " * (len(head) + start) + "^" * length]


def _without_indent(line: str, start: int) -> tuple[str, int]:
    """Of the indent only two blanks stay."""
    blanks = len(line) - len(line.lstrip(" "))
    drop = max(0, min(blanks - 2, start))
    return line[drop:], start - drop


def _cut(line: str, start: int, length: int, room: int) -> tuple[str, int, int]:
    """The part of the line round the mark that has room, and where the mark then begins."""
    if len(line) <= room:
        return line, start, length
    left = 0 if start + length <= room - 3 else max(0, start - room // 2)
    part = line[left : left + room - (3 if left == 0 else 6)]
    before, after = ("..." if left else ""), ("..." if left + len(part) < len(line) else "")
    return f"{before}{part}{after}", start - left + len(before), min(length, len(part) - (start - left))


def _clean(text: str) -> str:
    """Tabs become a blank, what is no visible character becomes "?"."""
    return "".join(sign if sign.isprintable() else " " if sign == "\t" else "?" for sign in text)
