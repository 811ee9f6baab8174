"""How large a model's networks grow: what exact reasoning over it will cost, told beforehand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from faultiso.engine.plan import estimate
from faultiso.model.system import Model
from faultiso.network.builder import CONSTANT
from faultiso.network.ground import Grounding
from faultiso.network.simplify import absorb
from faultiso.network.timeline import Moment, Timeline, moment

SETS_OF_CONDITIONS = (1, 2, 4, 6)
BYTES_AN_ENTRY = 24.0
MOST_BYTES = 1 << 30  # above this a model is not fit to be reasoned about in that many sets of conditions


@dataclass(frozen=True)
class Width:
    """Every indication read in so many sets of conditions: table entries of the exact answer."""

    sets: int
    entries: float

    @property
    def megabytes(self) -> float:
        return self.entries * BYTES_AN_ENTRY / 1e6

    @property
    def too_large(self) -> bool:
        return self.entries * BYTES_AN_ENTRY > MOST_BYTES


def widths(model: Model, counts: Sequence[int] = SETS_OF_CONDITIONS) -> tuple[Width, ...]:
    """The estimates for the model's first situations, as many as it has (the start if it names none)."""
    different = dict.fromkeys(moment(s.values) for s in model.situations.values()) or {
        moment(model.start): None
    }
    moments = tuple(different)
    ground = Grounding(model)
    return tuple(_width(ground, moments[:n], n) for n in counts if n <= len(moments))


def _width(ground: Grounding, moments: tuple[Moment, ...], sets: int) -> Width:
    timeline = Timeline(moments)
    seen = {
        ground.level(name, timeline, at).variable for at in range(sets) for name in ground.model.indications
    } - {CONSTANT}
    network, place = ground.builder.freeze(sorted(seen))
    faults = {ground.present(name, timeline).variable for name in ground.model.faults} & place.keys()
    small, _ = absorb(network, [place[v] for v in seen | faults])
    return Width(sets, estimate(small))
