"""What a crew would write up of each fault alone: the indications that are then off, where they show best."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from faultiso.appraisal.signatures import Sign, Signatures


@dataclass(frozen=True)
class WriteUp:
    """Indications with what they show, in a situation, and the faults of which that is the write-up."""

    situation: str
    shown: tuple[tuple[str, str], ...]
    faults: tuple[str, ...]
    rate: float


def write_ups(signatures: Signatures, least: float) -> tuple[WriteUp, ...]:
    """The distinct write-ups, the highest rate first.

    For each fault the situation in which one indication tells it best from nothing wrong, and there all that
    tell it by ``least`` or more and most likely show something else than usual. Faults of which no indication
    does so are in none.
    """
    by_situation: dict[str, list[Sign]] = {}
    for sign in signatures.indications:
        by_situation.setdefault(sign.situation, []).append(sign)
    faults: dict[tuple[str, tuple[tuple[str, str], ...]], list[int]] = {}
    for place in range(len(signatures.faults)):
        situation = _telling(by_situation, place)
        shown = _shown(by_situation.get(situation, ()), place, least)
        if shown:
            faults.setdefault((situation, shown), []).append(place)
    found = [
        WriteUp(where, shown, tuple(signatures.faults[p] for p in at), float(signatures.rates[at].sum()))
        for (where, shown), at in faults.items()
    ]
    return tuple(sorted(found, key=lambda item: (-item.rate, item.faults)))


def _telling(by_situation: dict[str, list[Sign]], place: int) -> str:
    """The situation in which some indication tells the fault best; of equals the first."""
    best = {name: max(float(sign.moved[place]) for sign in signs) for name, signs in by_situation.items()}
    return max(best, key=lambda name: round(best[name], 9), default="")


def _shown(signs: Sequence[Sign], place: int, least: float) -> tuple[tuple[str, str], ...]:
    found = []
    for sign in signs:
        likeliest = int(sign.given[1 + place].argmax())
        if sign.moved[place] >= least and likeliest != sign.usual:
            found.append((sign.name, sign.outcomes[likeliest]))
    return tuple(found)
