"""A text that asks for a hand on or near a hot or pressurised line.

A jet too fine to be seen goes through a glove, and a line gives no sign of being hot: instruments and
distance instead. A sentence that forbids it ("never by hand") is welcome.

Wrong:

    components: {hose: {faults: {leaking: {rate: 1e-5}}}}
    checks:
      look: {title: feel along the pressure hose for a leak, reads: hose.leaking, minutes: 5}

Right:

    components: {hose: {faults: {leaking: {rate: 1e-5}}}}
    checks:
      look: {title: look along the pressure hose from a distance, reads: hose.leaking, minutes: 5}
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from faultiso.base.problems import Problem, Where
from faultiso.language.texts import sentences, texts
from faultiso.model.system import Model

_HAND = re.compile(
    r"\b(by hand|by feel|(bare |your |the |a |gloved )hands? (on|over|along|round|around|near)|finger\w*"
    r"|feel(ing)?( for| along| the| round)?|touch(ing)?|grip(ping)?|stroke)\b",
    re.IGNORECASE,
)
_LINE = re.compile(
    r"\b(lines?|pipes?|pipelines?|hoses?|tub(e|es|ing)|unions?|fittings?|manifolds?|ducts?|hot|heat|warm\w*"
    r"|pressuri[sz]ed|leaks?|jets?)\b",
    re.IGNORECASE,
)
_FORBIDS = re.compile(
    r"\b(never|not|no|nobody|without|instead of|rather than|away from|clear of|keep\w* (away|clear|off))\b",
    re.IGNORECASE,
)


def check(model: Model) -> Iterable[Problem]:
    """Every text with a hand and a line in one sentence that does not forbid it."""
    return judged(texts(model))


def judged(placed: Iterable[tuple[str, Where]]) -> Iterable[Problem]:
    """The same of any texts, each with its place."""
    for text, where in placed:
        for sentence in sentences(text):
            hand = _HAND.search(sentence)
            if hand and _LINE.search(sentence) and not _FORBIDS.search(sentence):
                message = (
                    f'"{hand[0]}" near a line asks for a hand where fluid may be hot or under pressure; '
                    "expected an instrument, or eyes from a distance"
                )
                yield Problem("hands", where, message)
