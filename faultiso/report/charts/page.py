"""A chart as a page: the numbered steps first, then the tree; and as data for programs."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from faultiso.base.figures import capital
from faultiso.planning.tree import Candidate
from faultiso.report.charts import wording
from faultiso.report.charts.chart import Chart, Entry
from faultiso.report.charts.pieces import Piece, Twig, pieces
from faultiso.report.page import Block, Caution, Heading, Items, Outline, Page, Text

#: Levels of the tree on a screen: 40 columns leave room for words beside the last one.
_DEEPEST = 6
#: Levels of the tree in one document: what programs nest without trouble.
_NESTED = 40


def chart_page(chart: Chart) -> Page:
    """The page for a screen, wide or narrow. Cautions stand in full above, by title at their steps."""
    cautions = tuple(Caution(f"{capital(title)}. {text}".strip()) for title, text in chart.cautions.values())
    blocks: list[Block] = [Text(sentence) for sentence in opening(chart)]
    blocks += [Heading("Steps"), *(step_block(chart, entry) for entry in chart.entries)]
    blocks.append(Heading("The same as a tree"))
    for piece in pieces(chart, _DEEPEST):
        if piece.head != 1:
            blocks.append(Heading(continues(chart, piece.head), level=2))
        blocks.append(Outline(tuple((t.depth, "", twig_words(chart, t)) for t in piece.twigs), nested=True))
    left_out = wording.left_out_words(chart)
    if left_out:
        blocks += [Heading("Left out"), Items(left_out)]
    return Page(wording.name_words(chart), chart.subject, tuple(blocks), cautions, last=True)


def opening(chart: Chart) -> list[str]:
    """The sentences before the steps."""
    said = (wording.start_words(chart), wording.HOW_TO, wording.certificate_words(chart.certificate))
    return [sentence for sentence in (*said, wording.IF_RIGHT) if sentence]


def step_block(chart: Chart, entry: Entry) -> Outline:
    """A step with what it needs, its cautions by title, and where each outcome leads."""
    lines = [*caution_lines(chart, entry), *entry.before]
    lines += [*entry.after, *wording.notes(entry), *(wording.way_words(way) for way in entry.ways)]
    lines += filter(None, [wording.unfollowed_words(entry)])
    rows = [(0, str(entry.number), wording.head(entry)), *((0, "", line) for line in lines)]
    return Outline(tuple(rows))


def caution_lines(chart: Chart, entry: Entry) -> list[str]:
    """The cautions at a step in one short line; in full they stand before the first step."""
    titles = [chart.cautions[name][0] for name in entry.cautions]
    return [f"CAUTION: {'; '.join(titles)}."] if titles else []


def continues(chart: Chart, number: int, place: Callable[[int], str] = lambda number: "") -> str:
    """Where a piece of the tree comes from: "Step 12, continues from step 4, page 1"."""
    source = chart.entry(number).came_from[0]
    return f"Step {number}, continues from step {source}{place(source)}"


def twig_words(chart: Chart, twig: Twig, place: Callable[[int], str] = lambda number: "") -> str:
    """One line of a tree: what was shown, then the step or where it stands."""
    showed = f"{twig.way.outcome} ({wording.chance(twig.way.probability)}): " if twig.way else ""
    if not twig.here:
        return f"{showed}go to step {twig.number}{place(twig.number)}"
    entry = chart.entry(twig.number)
    first = f"{showed}step {twig.number}, {wording.said(entry)}."
    unfollowed = wording.unfollowed_words(entry)
    more = [f"{capital(unfollowed)}."] if unfollowed else []
    return " ".join([first, *caution_lines(chart, entry), *wording.notes(entry), *more])


def chart_record(chart: Chart) -> dict[str, Any]:
    """The chart for a JSON document. A step stands in full where the tree first comes to it; elsewhere, and
    where the tree goes on in ``further``, there is ``go_to`` with its number."""
    trees = [_tree(chart, piece) for piece in pieces(chart, _NESTED)]
    return {
        "title": chart.title,
        "complaint": chart.complaint,
        "expected_minutes": chart.certificate.expected_minutes,
        "lower_bound": chart.certificate.lower_bound,
        "gap": chart.certificate.gap,
        "bound": chart.certificate.bound,
        "left_out": list(wording.left_out_words(chart)),
        "cautions": [
            {"name": name, "title": title, "text": text} for name, (title, text) in chart.cautions.items()
        ],
        "tree": trees[0],
        "further": trees[1:],
    }


def _tree(chart: Chart, piece: Piece) -> dict[str, Any]:
    above: list[dict[str, Any]] = []
    for twig in piece.twigs:
        node = _step(chart.entry(twig.number)) if twig.here else {"go_to": twig.number}
        if twig.way:
            branch = {"outcome": twig.way.outcome, "probability": twig.way.probability, "then": node}
            above[twig.depth - 1]["branches"].append(branch)
        above[twig.depth :] = [node]
    return above[0]


def _step(entry: Entry) -> dict[str, Any]:
    return {
        "number": entry.number,
        "kind": entry.kind,
        "name": entry.name,
        "title": entry.title,
        "minutes": entry.minutes,
        "expected_minutes": entry.expected_minutes,
        "reach": entry.reach,
        "before": list(entry.before),
        "cautions": list(entry.cautions),
        "after": list(entry.after),
        "candidates": [_candidate(candidate) for candidate in entry.candidates],
        "cut": entry.cut or None,
        "not_followed": entry.not_followed,
        "branches": [],
    }


def _candidate(candidate: Candidate) -> dict[str, Any]:
    return {"faults": list(candidate.faults), "probability": candidate.probability}
