"""A first glance at a model file: its title, what it is about and its situations, long before it is loaded.

The glance is good enough to ask the first question by; whatever it says is replaced by the loaded model.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import get_args

from faultiso.base.notice import Subject

_KEY = re.compile(r"(?m)^([a-z_]+):")
LARGEST = 2_000_000
SUBJECTS: tuple[Subject, ...] = tuple(subject for subject in get_args(Subject) if subject)


@dataclass(frozen=True, slots=True)
class Glance:
    """``situations`` are titles in the order of the file, each with what is said about it."""

    title: str
    subject: Subject
    situations: tuple[tuple[str, str], ...]


def peek(path: Path) -> Glance | None:
    """The glance, or None where anything is not quite as usual: then the file has to be loaded first."""
    try:
        if path.stat().st_size > LARGEST:
            return None
        text = path.read_text(encoding="utf-8-sig")
        parts = dict(_sections(text))
        found = parsed("".join(parts.get(key, "") for key in ("title", "subject", "situations")))
    except (OSError, ValueError):
        return None
    return _glance(found)


def _sections(text: str) -> Iterator[tuple[str, str]]:
    """Each top-level key with its text, up to the next one."""
    starts = [*_KEY.finditer(text)]
    for match, following in zip(starts, [*starts[1:], None], strict=True):
        yield match[1], text[match.start() : following.start() if following else len(text)]


def parsed(text: str) -> object:
    """What a text of YAML holds, at a glance: nothing is judged; None if it is none."""
    import yaml

    try:
        return yaml.load(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))
    except (yaml.YAMLError, RecursionError):
        return None


def _glance(found: object) -> Glance | None:
    if not isinstance(found, dict):
        return None
    subject: Subject = next((known for known in SUBJECTS if known == found.get("subject")), "")
    situations = found.get("situations")
    if not subject or not isinstance(situations, dict) or not isinstance(found.get("title"), str):
        return None
    rows = []
    for part in situations.values():
        if not isinstance(part, dict) or not isinstance(part.get("title"), str):
            return None
        rows.append((part["title"], str(part.get("about", ""))))
    return Glance(found["title"], subject, tuple(rows))
