"""Which numbers of a model matter: a tornado as a page, as data, as rows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from faultiso.appraisal.sensitivity.swings import End, Swing, Tornado
from faultiso.base.figures import in_hundred, listed, minutes_words
from faultiso.report.counts import counted
from faultiso.report.csv_safe import Value
from faultiso.report.drawing.bars import Swing as Bar
from faultiso.report.drawing.bars import swings_svg
from faultiso.report.page import Block, Column, Heading, KeyValues, Page, Picture, Table, Text

MOST_SHOWN = 12
MOST_DRAWN = 16
HALF = 8  # signs of a bar of text on either side of what it is now
HEAD: tuple[str, ...] = (
    "number", "kind", "value", "low", "high", "leader at low", "leader at high", "leads at low",
    "leads at high", "minutes at low", "minutes at high", "derivative", "another leads from",
)  # fmt: skip


def sensitivity_screen(
    found: Tornado, readings: Sequence[str], files: Sequence[tuple[str, str]] = ()
) -> Page:
    """The numbers that move most; ``readings``: what was read, in words."""
    blocks = list(_blocks(found, readings, MOST_SHOWN))
    if files:
        blocks.append(KeyValues(tuple(files)))
    return Page(_title(found), found.belief.model.subject, tuple(blocks), last=True)


def sensitivity_paper(found: Tornado, readings: Sequence[str]) -> Page:
    """Everything, with plots."""
    return Page(_title(found), found.belief.model.subject, tuple(_blocks(found, readings, None)))


def _title(found: Tornado) -> str:
    return f"Numbers that matter in {found.belief.model.title}"


def _blocks(found: Tornado, readings: Sequence[str], most: int | None) -> Iterator[Block]:
    yield Text(f"Read: {listed(list(readings)) or 'nothing'}.")
    yield Text(
        f"{found.leader} leads with {in_hundred(found.posterior)} in 100; {minutes_words(found.minutes)} "
        f"ahead by the best next action. Each number in turn over {found.factor:g} (low) and times "
        f"{found.factor:g} (high), of chances their odds, all others as they are."
    )
    yield from _told(found)
    yield from _leader(found, most)
    yield from _minutes(found, most)


def _told(found: Tornado) -> Iterator[Block]:
    turning = [swing for swing in found.swings if {swing.low.leads, swing.high.leads} != {found.leader}]
    others = f"{counted(found.still, 'number')} of the model make no difference here."
    yield Text(
        f"{counted(len(found.swings), 'number')} matter; with {len(turning)} of them another fault may lead. "
        f"{others}"
    )
    if found.left:
        yield Text(f"Not judged, the time was too short (--seconds): {counted(len(found.left), 'number')}.")


def _leader(found: Tornado, most: int | None) -> Iterator[Block]:
    swings = [swing for swing in found.swings if swing.moves > 0]
    if not swings:
        return
    name = f"What moves {found.leader}"
    yield Heading(name)
    if most is None:
        bars = [Bar(s.parameter.label, 100 * s.low.leader, 100 * s.high.leader) for s in swings[:MOST_DRAWN]]
        yield _picture(name, bars, 100 * found.posterior, "in 100", found)
    ends = [(swing.low.leader, swing.high.leader) for swing in swings]
    words = [(in_hundred(low), in_hundred(high)) for low, high in ends]
    yield _table(swings, words, text_bars(ends, found.posterior), most, f"{name}, in 100")
    if most is not None and len(swings) > most:
        yield Text(f"{len(swings) - most} more; the page (--html) has all of them.", quiet=True)
    yield from _turning(found, swings, most)


def _table(
    swings: Sequence[Swing],
    ends: Sequence[tuple[str, str]],
    bars: Sequence[str],
    most: int | None,
    about: str,
) -> Table:
    """Bars of text on a screen, the values of each number on paper."""
    last = bars if most is not None else [_span(swing) for swing in swings]
    rows = [(s.parameter.label, *pair, end) for s, pair, end in zip(swings, ends, last, strict=True)]
    heads = (
        Column("number"),
        Column("low", "number"),
        Column("high", "number"),
        Column("- low + high" if most is not None else "its low to its high end"),
    )
    return Table(heads, tuple(rows[:most]), about)


def _turning(found: Tornado, swings: Sequence[Swing], most: int | None) -> Iterator[Block]:
    """The numbers with which another fault leads."""
    rows = [
        (swing.parameter.label, _span(swing), leads) for swing in swings if (leads := _leads(found, swing))
    ]
    if rows:
        yield Heading("With these another fault may lead")
        heads = (Column("number"), Column("low to high"), Column("then leads"))
        yield Table(heads, tuple(rows[:most]), "numbers with which another fault leads")


def _picture(name: str, bars: Sequence[Bar], now: float, unit: str, found: Tornado) -> Picture:
    about = "Bars from what it is now (line): grey with the number at its low end, white at its high end."
    svg = swings_svg(name, bars, now, unit, about, found.belief.model.subject)
    return Picture(name, svg, f"{about} The figures stand below.")


def _span(swing: Swing) -> str:
    return f"{swing.low.value:.2g} to {swing.high.value:.2g}"


def _leads(found: Tornado, swing: Swing) -> str:
    """Who leads at an end where it is another fault, and from which value on."""
    others = [end.leads for end in (swing.low, swing.high) if end.leads != found.leader]
    if not others:
        return ""
    turns = f", changing at {swing.turns:.2g}" if swing.turns is not None else ""
    return listed(list(dict.fromkeys(others))) + turns


def text_bars(ends: Sequence[tuple[float, float]], now: float) -> list[str]:
    """Bars of signs around "|", what it is now: "-" to the low end, "+" to the high end, all to one scale."""
    most = max((abs(end - now) for pair in ends for end in pair), default=0.0) or 1.0
    return [_text_bar((low - now) / most, (high - now) / most) for low, high in ends]


def _text_bar(low: float, high: float) -> str:
    signs = ["."] * (2 * HALF + 1)
    for part, sign in sorted(((low, "-"), (high, "+")), key=lambda item: -abs(item[0])):
        for step in range(1, round(abs(part) * HALF) + 1):
            signs[HALF + (step if part > 0 else -step)] = sign
    signs[HALF] = "|"
    return "".join(signs)


def _minutes(found: Tornado, most: int | None) -> Iterator[Block]:
    swings = found.by_minutes
    if not swings:
        return
    yield Heading("What moves the minutes ahead")
    missing = found.without_minutes
    if missing:
        yield Text(f"Not worked out for {counted(missing, 'number')} that move less, or for want of time.")
    if most is None:
        bars = [Bar(s.parameter.label, *_ends(s)) for s in swings[:MOST_DRAWN]]
        yield _picture("What moves the minutes ahead", bars, found.minutes, "minutes", found)
    ends = [_ends(swing) for swing in swings]
    words = [(f"{low:.0f}", f"{high:.0f}") for low, high in ends]
    yield _table(swings, words, text_bars(ends, found.minutes), most, "minutes ahead at both ends")


def _ends(swing: Swing) -> tuple[float, float]:
    return swing.low.minutes or 0.0, swing.high.minutes or 0.0


def sensitivity_rows(found: Tornado) -> Iterator[tuple[Value, ...]]:
    """One row for each number that matters, a cell for each title of ``HEAD``."""
    for swing in found.swings:
        low, high = swing.low, swing.high
        yield (
            swing.parameter.label, swing.parameter.kind, swing.parameter.value, low.value, high.value,
            low.leader, high.leader, low.leads, high.leads, low.minutes, high.minutes, swing.slope,
            swing.turns,
        )  # fmt: skip


def sensitivity_record(found: Tornado, readings: Sequence[str]) -> dict[str, Any]:
    """What ``model sensitivity --json`` prints."""
    return {
        "model": found.belief.model.name,
        "readings": list(readings),
        "factor": found.factor,
        "leader": found.leader,
        "probability": found.posterior,
        "expected_minutes": found.minutes,
        "numbers": [_swing(swing) for swing in found.swings],
        "make_no_difference": found.still,
        "not_judged": [parameter.label for parameter in found.left],
    }


def _swing(swing: Swing) -> dict[str, Any]:
    return {
        "number": swing.parameter.label,
        "kind": swing.parameter.kind,
        "of": swing.parameter.of,
        "value": swing.parameter.value,
        "low": _end(swing.low),
        "high": _end(swing.high),
        "moves": swing.moves,
        "derivative": swing.slope,
        "another_leads_from": swing.turns,
    }


def _end(end: End) -> dict[str, Any]:
    return {"value": end.value, "leader": end.leader, "leads": end.leads, "expected_minutes": end.minutes}
