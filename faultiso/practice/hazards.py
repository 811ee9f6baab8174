"""Naming the hazards of a step before its cautions are shown: a list with plausible wrong ones among them."""

from __future__ import annotations

import hashlib

from faultiso.base.problems import UsageError
from faultiso.model.system import Model
from faultiso.session.state import Pick, State

HOW_MANY = "how many, 101891"  # the number leaves the lists in our own recorded sessions as they were
WRONG_ONES = range(2, 7)  # how many wrong ones: by the step, so that nobody counts the right ones out


def to_be_named(state: State) -> bool:
    """Whether the hazards of what is about to be done are still to be named: new ones only."""
    pick = state.pick
    return pick is not None and not pick.ready and not pick.named and bool(pick.cautions - state.told)


def offered(model: Model, pick: Pick) -> tuple[str, ...]:
    """Cautions by name: those of the step, and others of the model, in an order that gives nothing away.

    The same step has the same list in every session, so that nobody learns from trying again.
    """
    own = {name for name, _ in pick.cautions}
    others = sorted(model.cautions.keys() - own, key=lambda name: _mixed(pick.name, name))
    wrong = WRONG_ONES[int(_mixed(HOW_MANY, model.name, pick.what, pick.name), 16) % len(WRONG_ONES)]
    return tuple(sorted({*own, *others[:wrong]}, key=lambda name: _mixed(name, pick.name)))


def _mixed(*parts: str) -> str:
    """A number in hexadecimal that looks drawn and is the same everywhere."""
    return hashlib.sha256("|".join(parts).encode()).hexdigest()


def named_in(line: str, offer: tuple[str, ...]) -> tuple[str, ...]:
    """The cautions that numbers pick ("1 4", "1,4"); none for an empty line. UsageError for anything else."""
    picked = []
    for word in line.replace(",", " ").split():
        if not (word.isascii() and word.isdigit() and 1 <= int(word[:9]) <= len(offer)):
            raise UsageError(f"Numbers from 1 to {len(offer)} with blanks between, or Enter for none.")
        picked.append(offer[int(word) - 1])
    return tuple(dict.fromkeys(picked))
