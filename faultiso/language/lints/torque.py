"""A text that gives a torque: figures for tightening stand in approved data only.

Wrong:

    components: {cap: {about: tightened to 25 Nm, faults: {leaking: {rate: 1e-5}}}}

Right:

    components: {cap: {about: tightened as the approved data say, faults: {leaking: {rate: 1e-5}}}}
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from faultiso.base.problems import Problem, Where
from faultiso.language.texts import texts
from faultiso.model.system import Model

_FIGURE = re.compile(
    r"\b[0-9][0-9.,]*\s*-?(N[ .·-]?m|(?i:newton[- ]?met(re|er)s?|(ft|in|foot|inch)[ .·-]?(lbs?f?|pounds?)"
    r"|(lbf?|pounds?)[ .·-]?(ft|in|foot|feet|inch(es)?)|kgf?[ .·-]?c?m|daN[ .·-]?m))\b"
    r"|(?i:torqu\w*( \w+){0,3} [0-9])"
)


def check(model: Model) -> Iterable[Problem]:
    """Every text with a torque figure."""
    return judged(texts(model))


def judged(placed: Iterable[tuple[str, Where]]) -> Iterable[Problem]:
    """The same of any texts, each with its place."""
    for text, where in placed:
        found = _FIGURE.search(text)
        if found:
            message = f'a text gives a torque ("{found[0]}"); take it out and refer to the approved data'
            yield Problem("torque", where, message)
