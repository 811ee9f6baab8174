"""The plain sentences of a chart, the same on the screen, on paper and in a drawing."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from faultiso.base.figures import capital, in_hundred, minutes_words
from faultiso.base.text import one_line
from faultiso.planning.tree import ENDS, Candidate, Certificate
from faultiso.report.charts.chart import Chart, Entry, Way

REFER = "stop and refer to the approved data"
NO_FAULT = "no fault found: list the checks, set monitoring"
DEFER = "only as the deferral sheet allows, with its placard and interval, by whoever may decide it"
ISOLATED = "isolated"
VERIFIED = "verified; restore what was changed, and record the work with its reference to the approved data"
HOW_TO = (
    "Begin at step 1. After each step follow the line of what it showed to the step named there. "
    "If it shows something else, or cannot be done as written, stop and refer to the approved data."
)
IF_RIGHT = "Chances and minutes hold if the figures of the model are right."
PROVED = 1e-6
_MOST_CANDIDATES = 4


def head(entry: Entry) -> str:
    """What to do: "Check the sight glass, 4 min", or how it ends."""
    return capital(said(entry)) + ("." if entry.kind in ENDS else "")


def said(entry: Entry) -> str:
    """The same within a sentence."""
    if entry.kind in ENDS:
        return f"end: {_end(entry)}"
    return f"{_deed(entry)}, {minutes_words(entry.minutes)}"


def _end(entry: Entry) -> str:
    """The end in our words; what the plan calls it follows if that says more."""
    match entry.kind:
        case "no fault found":
            return NO_FAULT
        case "verified":
            return VERIFIED
        case "refer":
            return REFER
        case "defer":
            return f"{entry.title}; {DEFER}"
    more = entry.title.removeprefix("isolated").strip(" :,")
    return f"{ISOLATED}: {more}" if more else ISOLATED


def _deed(entry: Entry) -> str:
    if entry.kind == "look" and not entry.title.casefold().startswith("look"):
        return f"look at {entry.title}"
    return entry.title


def notes(entry: Entry) -> tuple[str, ...]:
    """What stands below the head of a step besides cautions and ways on."""
    candidates = [candidates_words(entry.candidates)] if entry.candidates and _names_them(entry) else []
    cut = [f"The plan is not followed further here: {entry.cut.rstrip('.')}; {REFER}."] if entry.cut else []
    return (*candidates, *cut)


def _names_them(entry: Entry) -> bool:
    return entry.kind in ENDS or not entry.ways


def candidates_words(candidates: Sequence[Candidate]) -> str:
    """ "In 100: pump 1, worn 48; relief valve 1 22; others 30."."""
    ranked = sorted(candidates, key=lambda candidate: -candidate.probability)
    shown = ranked if len(ranked) <= _MOST_CANDIDATES + 1 else ranked[:_MOST_CANDIDATES]
    said = [f"{in_hundred(c.probability)} in 100 {_faults(c)}" for c in shown]
    rest = 1.0 - sum(candidate.probability for candidate in shown)
    if rest > 0.005:
        said.append(f"{in_hundred(rest)} in 100 others")
    return f"Candidates here: {'; '.join(said)}."


def _faults(candidate: Candidate) -> str:
    return " and ".join(candidate.faults) or "nothing modelled is wrong"


def chance(probability: float) -> str:
    """ "48 in 100"."""
    return f"{in_hundred(probability)} in 100"


def way_words(way: Way, place: Callable[[int], str] = lambda number: "") -> str:
    """ "low (38 in 100): go to step 5"; ``place`` adds where that step stands: ", page 2"."""
    return f"{way.outcome} ({chance(way.probability)}): go to step {way.to}{place(way.to)}"


def unfollowed_words(entry: Entry) -> str:
    """What to do with outcomes that the plan leaves out; "" if it follows all."""
    if not entry.not_followed:
        return ""
    return f"anything else ({chance(entry.not_followed)}): not followed; {REFER}"


def certificate_words(certificate: Certificate) -> str:
    """Expected minutes, lower bound and gap in one sentence."""
    mean = f"Followed to its ends this takes {_mean(certificate.expected_minutes)} on average"
    bound = one_line(certificate.bound)
    if certificate.gap <= PROVED:
        return f"{mean}; no plan for the same problem takes less ({bound})."
    least = f"{_mean(certificate.lower_bound)} ({bound})"
    saving = f"so a better one could save at most {in_hundred(certificate.gap)} in 100 of the time"
    return f"{mean}; no plan for the same problem can take less than {least}, {saving}."


def _mean(minutes: float) -> str:
    return minutes_words(minutes) if minutes >= 10 or minutes == round(minutes) else f"{minutes:.1f} min"


def left_out_words(chart: Chart) -> tuple[str, ...]:
    """Sentences on what was cut off, one that counts the cut steps included."""
    cut = [entry for entry in chart.entries if entry.cut]
    if not cut:
        return chart.left_out
    numbers = ", ".join(str(entry.number) for entry in cut[:8]) + (", ..." if len(cut) > 8 else "")
    share = sum(entry.reach for entry in cut)
    where = f"step {numbers}" if len(cut) == 1 else f"steps {numbers}"
    return (*chart.left_out, f"The plan stops early at {where}: {chance(min(1.0, share))} come there.")


def name_words(chart: Chart) -> str:
    """What the chart is called."""
    return f"Fault isolation chart: {chart.title}" if chart.title else "Fault isolation chart"


def start_words(chart: Chart) -> str:
    """The complaint as a sentence; "" if none was given."""
    return f"Complaint: {chart.complaint.rstrip('.')}." if chart.complaint else ""
