"""Problems that say the same of many things: told once, the others by place and name beneath it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from faultiso.base.problems import Problem

FROM = 3  # others that say the same, below which each is told by itself
_MARKS = '.,;:()"'

Key = tuple[object, ...]


@dataclass(frozen=True)
class Told:
    """A problem, and the ``others`` that differ from it in one word at most, each (place, that word)."""

    problem: Problem
    others: tuple[tuple[str, str], ...] = ()


def folded(problems: Sequence[Problem]) -> tuple[Told, ...]:
    """The problems in their order, those that say the same with the first of them."""
    alike: dict[Key, list[int]] = {}
    for number, problem in enumerate(problems):
        for key in _keys(problem):
            alike.setdefault(key, []).append(number)
    found: list[Told] = []
    told: set[int] = set()
    for number, first in enumerate(problems):
        if number in told:
            continue
        open_ = [[n for n in alike[key] if n > number and n not in told] for key in _keys(first)]
        most = max(open_, key=len, default=[])
        others = most if len(most) >= FROM else []
        told.update(others)
        found.append(Told(first, tuple(_other(first, problems[n]) for n in others)))
    return tuple(found)


def _keys(problem: Problem) -> Iterator[Key]:
    """What it says without one of its words, for each of them."""
    words = problem.message.split()
    for number in range(len(words)):
        rest = (*words[:number], *words[number + 1 :])
        yield (problem.code, problem.severity, problem.nearest, number, rest)


def _other(first: Problem, other: Problem) -> tuple[str, str]:
    """Its place, with the file where it is another, and its own word."""
    where = other.where
    place = str(where).removeprefix(f"{where.file}:") if where.file == first.where.file else str(where)
    words = zip(first.message.split(), other.message.split(), strict=True)
    return place, "".join(word.strip(_MARKS) for usual, word in words if word != usual)
