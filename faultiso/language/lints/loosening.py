"""A text that tells how to open or loosen something: that is the business of approved data.

Wrong:

    components: {union: {faults: {leaking: {rate: 1e-5}}}}
    checks:
      look: {title: loosen the union and see, reads: union.leaking, minutes: 5}

Right:

    components: {union: {faults: {leaking: {rate: 1e-5}}}}
    checks:
      look: {title: look at the union, reads: union.leaking, minutes: 5}
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from faultiso.base.problems import Problem, Where
from faultiso.language.texts import sentences, texts
from faultiso.model.system import Model

_TELLS = re.compile(
    r"\b(loosen|slacken|unscrew|untighten|back off|crack open|undo) (the|a|an|it|one|both|all|each|its)\b",
    re.IGNORECASE,
)
_FORBIDS = re.compile(r"\b(never|not|no|nobody|don't)\b", re.IGNORECASE)


def check(model: Model) -> Iterable[Problem]:
    """Every sentence that tells to open something, unless it forbids it."""
    return judged(texts(model))


def judged(placed: Iterable[tuple[str, Where]]) -> Iterable[Problem]:
    """The same of any texts, each with its place."""
    for text, where in placed:
        for sentence in sentences(text):
            found = _TELLS.search(sentence)
            if found and not _FORBIDS.search(sentence):
                message = f'"{found[0]}" tells how to open something; refer to the approved data instead'
                yield Problem("loosening", where, message)
