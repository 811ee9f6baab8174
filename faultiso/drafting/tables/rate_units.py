"""What the head of a column of failure rates says that they are per; nothing is guessed."""

from __future__ import annotations

import re
from dataclasses import dataclass

#: heads that say it without "per": failures in time (FIT) are those in 1e9 hours
_NAMED = {"fit": 1e9, "fits": 1e9, "fpmh": 1e6}
_POWER = re.compile(r"(?:\b10\s*(?:\^|\*\*)?\s*|\b1(?:\.0*)?e\s*)[-\u2212]\s*0?(3|6|9)\b", re.IGNORECASE)
_PER = re.compile(r"(?:\bper\b|/)\s*((?:[^)\],;/]|,(?=\d))*)", re.IGNORECASE)
_HOURS = re.compile(r"(.*?)\s*(?:(?:flight|operating|f)\s*)?-?(?:h|hr|hrs|hours?)\.?\s*", re.IGNORECASE)
_COUNT = re.compile(
    r"10\s*(?:\^|\*\*)\s*(?P<power>\d)|1(?:\.0*)?e\+?0?(?P<exponent>\d)|"
    r"(?P<plain>\d{1,3}(?:[, ']\d{3})+|\d+)",
    re.IGNORECASE,
)
_WORDS = {"a": 1.0, "one": 1.0, "": 1.0, "thousand": 1e3, "million": 1e6, "mill.": 1e6}
_OTHER = re.compile(r"%|\bper cent\b|million|\bmill\.|\b10\s*(?:\^|\*\*)\s*\d|\b1e\+?\d", re.IGNORECASE)


@dataclass(frozen=True)
class Unit:
    """``hours`` in which rates are failures, 0 where nothing is said; ``unknown``: what is not understood."""

    hours: float = 0.0
    unknown: str = ""


def unit_of(head: str) -> Unit:
    """Nothing is guessed: a head that says "per" anything but a number of hours is not understood."""
    for word in re.findall(r"[a-z]+", head.casefold()):
        if word in _NAMED:
            return Unit(_NAMED[word])
    said = _PER.findall(head)
    if "%" in head or (not said and not _POWER.search(head) and _OTHER.search(head)):
        return Unit(unknown=head.strip())
    power = _POWER.search(head)
    if not said:
        return Unit(10.0 ** int(power[1])) if power else Unit()
    hours = _hours(said[-1].strip())
    if hours is None or (power and hours != 1.0):
        return Unit(unknown=head.strip())
    return Unit(hours * (10.0 ** int(power[1]) if power else 1.0))


def _hours(phrase: str) -> float | None:
    """ "million hours" -> 1e6; None where it is no number of hours."""
    found = _HOURS.fullmatch(phrase)
    if found is None:
        return None
    product, rest = 1.0, found[1].strip().casefold()
    if number := _COUNT.match(rest):
        plain = number["plain"]
        product = (
            float(re.sub(r"[, ']", "", plain))
            if plain
            else 10.0 ** int(number["power"] or number["exponent"])
        )
        rest = rest[number.end() :].strip()
    for word in rest.split():
        if word not in _WORDS:
            return None
        product *= _WORDS[word]
    return product or None
