"""Faults that no single sign tells apart, with what would mend them; faults that hardly show."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from faultiso.appraisal.isolation import ANY, Isolation
from faultiso.appraisal.signatures import Sign, Signatures
from faultiso.belief.value import entropy_bits
from faultiso.model.parts import Repair
from faultiso.network.network import Array

LEAST_BITS = 0.05  # information about which fault of a group it is, below which a sign tells nothing


@dataclass(frozen=True)
class Group:
    """Faults of which one at least is told from none of the others. ``rate``: of all of them together.

    ``repairs``: what clears some of them; ``mends_all``: a repair that clears all, "" if none does.
    ``told_by``: a further sign that tells well and quickly which of them it is, "" if none does.
    """

    faults: tuple[str, ...]
    units: tuple[str, ...]
    rate: float
    repairs: tuple[str, ...]
    mends_all: str
    told_by: str


@dataclass(frozen=True)
class Faint:
    """A fault that is not detected, and the sign that shows it best: by how much; "" if nothing moves."""

    fault: str
    rate: float
    sign: str
    situation: str
    moved: float


def groups_of(signatures: Signatures, found: Isolation, further: Sequence[Sign] = ()) -> tuple[Group, ...]:
    """Every group of two faults or more, those inside a larger one left out; the highest rate first."""
    sets = {group for group in found.groups if len(group) > 1}
    largest = [group for group in sets if not any(group < other for other in sets)]
    made = [_group(signatures, sorted(group), further) for group in largest]
    return tuple(sorted(made, key=lambda group: (-group.rate, group.faults)))


def _group(signatures: Signatures, places: list[int], further: Sequence[Sign]) -> Group:
    faults = tuple(signatures.faults[place] for place in places)
    clearing = [repair for repair in signatures.model.repairs.values() if set(repair.clears) & set(faults)]
    whole = [repair for repair in clearing if set(faults) <= set(repair.clears)]
    return Group(
        faults=faults,
        units=tuple(dict.fromkeys(signatures.units[place] for place in places)),
        rate=float(signatures.rates[places].sum()),
        repairs=tuple(_useful(clearing, set(faults))),
        mends_all=min(whole, key=lambda repair: repair.work.minutes).name if whole else "",
        told_by=_telling(further, places, signatures.rates[places]),
    )


def _telling(signs: Sequence[Sign], places: list[int], rates: Array) -> str:
    """The quickest sign that tells at least half as much as any about which fault of a group it is."""
    weights = rates / rates.sum() if rates.sum() > 0 else np.full(len(places), 1.0 / len(places))
    rows = [1 + place for place in places]
    told = [
        (float(entropy_bits(weights @ sign.given[rows]) - weights @ entropy_bits(sign.given[rows])), sign)
        for sign in signs
    ]
    least = max([LEAST_BITS, *(bits / 2 for bits, _ in told)])
    enough = [(sign.minutes or 0.0, -round(bits, 6), sign.name) for bits, sign in told if bits >= least]
    return min(enough)[2] if enough else ""


def _useful(repairs: list[Repair], faults: set[str]) -> Iterator[str]:
    """Of repairs that clear the same of the faults, the quickest."""
    best: dict[frozenset[str], Repair] = {}
    for repair in repairs:
        cleared = frozenset(repair.clears) & faults
        if cleared not in best or repair.work.minutes < best[cleared].work.minutes:
            best[cleared] = repair
    return (repair.name for repair in best.values())


def faint(signatures: Signatures, found: Isolation) -> tuple[Faint, ...]:
    """The faults that are not detected, the highest rate first."""
    rows = [
        _faint(signatures, place) for place, detected in enumerate(found.detected.tolist()) if not detected
    ]
    return tuple(sorted(rows, key=lambda row: (-row.rate, row.fault)))


def _faint(signatures: Signatures, place: int) -> Faint:
    best: Sign | None = max(signatures.signs, key=lambda sign: float(sign.moved[place]), default=None)
    moved = float(best.moved[place]) if best else 0.0
    named = best if best and moved > 0 else None
    return Faint(
        signatures.faults[place],
        float(signatures.rates[place]),
        named.name if named else "",
        named.situation if named else "",
        moved,
    )


def idle_signs(signatures: Signatures, least: float) -> tuple[str, ...]:
    """Names of the signs that no fault alone moves by ``least`` in any situation, in the model's order."""
    moved: dict[str, float] = {}
    for sign in signatures.signs:
        most = float(sign.moved.max()) if len(sign.moved) else 0.0
        moved[sign.name] = max(moved.get(sign.name, 0.0), most)
    return tuple(sign.name for sign in signatures.model.signs() if moved.get(sign.name, 0.0) < least)


def unmade_checks(signatures: Signatures) -> tuple[str, ...]:
    """Checks that cannot be made from any situation of the model."""
    made = {sign.name for sign in signatures.checks}
    return tuple(name for name in signatures.model.checks if name not in made)


def redundant(signatures: Signatures, least: float) -> tuple[str, ...]:
    """Indications that tell something, but nothing that the others do not tell by ``least`` too."""
    names = [name for name in signatures.model.indications if name not in idle_signs(signatures, ANY)]
    each = {name: signatures.apart(s for s in signatures.indications if s.name == name) for name in names}
    times = sum(((table >= least).astype(int) for table in each.values()), np.zeros((1, 1), dtype=int))
    return tuple(name for name, table in each.items() if not ((table >= least) & (times == 1)).any())
