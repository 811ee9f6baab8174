"""What the plans of all write-ups say together: checks that earn their minutes, readings to add, instruments
whose failure takes off good units."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from faultiso.appraisal.signatures import Signatures
from faultiso.appraisal.ways import Way, Worked
from faultiso.appraisal.writeups import WriteUp
from faultiso.model.causes import causes_of
from faultiso.model.system import Model

EARNS = 0.5  # minutes from which on a saving counts; less is within the rounding of a minute


@dataclass(frozen=True)
class CheckWorth:
    """``made``: share of the judged rate of faults on whose ways the plan makes it; ``saves``: the most that
    it saves as the first step of any write-up against going straight to the repairs. ``proves``: a repair
    is verified by it; ``shows``: faults that no indication shows and it does."""

    check: str
    minutes: float
    made: float
    saves: float
    proves: bool
    shows: tuple[str, ...]

    @property
    def earns(self) -> bool:
        return self.made > 0 or self.saves >= EARNS or self.proves or bool(self.shows)


@dataclass(frozen=True)
class ReadingWorth:
    """A reading of a quantity, or a test of one fault alone, by its name.

    ``saves``: minutes on average over all judged write-ups, by their rate; ``most``: of the one where it
    saves most, ``write_up``. An estimate; the minutes of the reading itself are not counted.
    """

    what: str
    saves: float
    most: float
    write_up: WriteUp


@dataclass(frozen=True)
class Misled:
    """A fault with which, alone, the plan takes off or services what was good. ``instrument``: it changes
    nothing but what signs show."""

    fault: str
    rate: float
    instrument: bool
    write_up: WriteUp
    taken_off: tuple[str, ...]
    minutes: float
    right: bool


def check_worths(
    signatures: Signatures, worked: Sequence[Worked], silent: Sequence[str], least: float
) -> tuple[CheckWorth, ...]:
    """Every check in the order of the file; ``silent``: faults in no write-up."""
    model = signatures.model
    made, saves = _made(model, worked), _saves(worked)
    proving = {name for repair in model.repairs.values() for name in repair.verification.checks}
    shows = _showing(signatures, silent, least)
    return tuple(
        CheckWorth(
            name,
            check.work.minutes,
            made.get(name, 0.0),
            saves.get(name, 0.0),
            name in proving,
            shows.get(name, ()),
        )
        for name, check in model.checks.items()
    )


def _made(model: Model, worked: Sequence[Worked]) -> dict[str, float]:
    """The share of the rate of faults on whose ways each step is."""
    found: dict[str, float] = {}
    total = sum(model.faults[way.fault].rate for way in ways_of(worked)) or 1.0
    for way in ways_of(worked):
        for name in dict.fromkeys(way.steps):
            found[name] = found.get(name, 0.0) + model.faults[way.fault].rate / total
    return found


def _saves(worked: Sequence[Worked]) -> dict[str, float]:
    """The most that each check saves as a first step."""
    found: dict[str, float] = {}
    for item in worked:
        for name, saved in item.saves.items():
            found[name] = max(found.get(name, 0.0), saved)
    return found


def _showing(signatures: Signatures, silent: Sequence[str], least: float) -> dict[str, tuple[str, ...]]:
    """The silent faults that each check tells from nothing wrong."""
    places = [signatures.faults.index(name) for name in silent]
    found: dict[str, tuple[str, ...]] = {}
    for sign in signatures.checks:
        shown = [signatures.faults[place] for place in places if sign.moved[place] >= least]
        found[sign.name] = tuple(dict.fromkeys((*found.get(sign.name, ()), *shown)))
    return found


def reading_worths(worked: Sequence[Worked]) -> tuple[ReadingWorth, ...]:
    """The readings that would save something, the most first."""
    total = sum(item.write_up.rate for item in worked)
    names = dict.fromkeys(name for item in worked for name in item.would_save)
    found = []
    for name in names:
        saved = [(item.would_save.get(name, 0.0), item.write_up) for item in worked]
        most, where = max(saved, key=lambda pair: pair[0])
        mean = sum(gain * write_up.rate for gain, write_up in saved) / total if total > 0 else 0.0
        found.append(ReadingWorth(name, mean, most, where))
    return tuple(sorted(found, key=lambda item: (-item.saves, item.what)))


def misled_by(model: Model, worked: Sequence[Worked]) -> tuple[Misled, ...]:
    """The faults with which a plan takes off what was good; instruments first, then by rate."""
    instruments = instrument_faults(model)
    found = [
        Misled(
            way.fault,
            model.faults[way.fault].rate,
            way.fault in instruments,
            item.write_up,
            way.taken_off,
            way.minutes,
            way.right,
        )
        for item in worked
        for way in item.ways
        if way.taken_off
    ]
    return tuple(sorted(found, key=lambda row: (not row.instrument, -row.rate, row.fault)))


def instrument_faults(model: Model) -> frozenset[str]:
    """Faults that change nothing but what indications and checks show."""
    signs = {*model.indications, *model.checks}
    targets: dict[str, set[str]] = {}
    for arrow in causes_of(model).arrows:
        if arrow.source in model.faults:
            targets.setdefault(arrow.source, set()).add(arrow.target)
    indicated = {fault for fault, changed in targets.items() if changed & set(model.indications)}
    return frozenset(fault for fault in indicated if targets[fault] <= signs)


def mean_minutes(model: Model, worked: Sequence[Worked]) -> float | None:
    """Minutes of the ways on average, by rate; None if there is none."""
    weighted = [(way.minutes, model.faults[way.fault].rate) for way in ways_of(worked)]
    total = sum(rate for _, rate in weighted)
    return sum(minutes * rate for minutes, rate in weighted) / total if total > 0 else None


def ways_of(worked: Sequence[Worked]) -> Iterator[Way]:
    for item in worked:
        yield from item.ways
