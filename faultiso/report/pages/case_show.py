"""A case for people: what whoever works it may know, and on request what is hidden."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from faultiso.base.notice import IN_TITLE
from faultiso.belief.observed import sign_of
from faultiso.casebook.case import Case, Pin, Seen, Setting
from faultiso.casebook.complaint import read
from faultiso.model.system import Model
from faultiso.report.page import Block, Heading, Items, KeyValues, Page, Text
from faultiso.session.words import reading_words, set_words, settings_words

_OTHERS = {
    "normal": "the others were looked at and normal",
    "unknown": "of the others nothing is known",
}


def case_page(case: Case, model: Model, truth: bool = False) -> Page:
    """Write-up and conditions; with ``truth`` everything, the aims too, for they would give too much away."""
    head = (
        ("stage", case.stage),
        ("system", f"{model.title} ({IN_TITLE[model.subject]})"),
        ("state", f"{case.review.state}, version {case.review.version}"),
    )
    blocks: list[Block] = [KeyValues(head), Heading("Write-up"), Text(f'"{case.write_up}"')]
    blocks += [Heading("Reported, and how things stand now"), KeyValues(tuple(course_pairs(case, model)))]
    if truth:
        blocks += _hidden(case, model)
    return Page(f'Case {case.name}, "{case.title}"', model.subject, tuple(blocks))


def course_pairs(case: Case, model: Model) -> Iterator[tuple[str, str]]:
    for seen in case.seen:
        yield "then", _seen_words(seen, model)
    yield "now", _setting_words(case.now, model)


def _seen_words(seen: Seen, model: Model) -> str:
    known = [reading_words(model, reading) for reading in read(model, seen.reports, 0)]
    told = {reading.sign for reading in read(model, seen.reports, 0)}
    known += [f"{sign_of(model, name).title} not known" for name in seen.reports if name not in told]
    return f"{_setting_words(seen.setting, model)}: {', '.join(known)}; {_OTHERS[seen.others]}"


def _setting_words(setting: Setting, model: Model) -> str:
    parts = [model.situations[setting.situation].title] if setting.situation else []
    return "; ".join((*parts, *([settings_words(model, setting.differs)] if setting.differs else [])))


def _hidden(case: Case, model: Model) -> list[Block]:
    """What the instructor sees."""
    pairs = [
        ("truth", set_words(model, case.truth) if case.truth else _nothing(case)),
        ("kinds", ", ".join(case.kinds)),
        ("right end", case.right_end),
        ("approved data", case.approved_data or "not asked for"),
        *(("pinned", _pin_words(pin, model)) for pin in case.pins),
        ("seed", str(case.seed)),
        ("critical precautions", _titles(model.cautions[name].title for name in case.critical_precautions)),
        ("prescribed order", _titles(model.checks[name].title for name in case.prescribed_order)),
        ("no spare for", _titles(model.repairs[name].title for name in case.no_spare)),
        *((who.replace("_", " "), line) for who, lines in case.says.items() for line in lines),
    ]
    blocks: list[Block] = [Heading("Hidden from whoever works it"), KeyValues(tuple(pairs))]
    blocks += [Heading("What is learned"), Items(tuple(aim.text for aim in case.aims))]
    blocks += [Heading("Hints"), Items(case.hints)]
    blocks += [Heading("A good solution"), Text(case.good_solution)]
    return [*blocks, Heading("Notes"), Text(case.notes)] if case.notes else blocks


def _nothing(case: Case) -> str:
    return "something that the model does not have" if case.beyond_model else "nothing is wrong"


def _titles(titles: Iterator[str]) -> str:
    first = next(titles, None)
    return ", ".join(chain((first,), titles)) if first is not None else "none"


def _pin_words(pin: Pin, model: Model) -> str:
    shown = ", ".join(reading_words(model, reading) for reading in read(model, pin.shows, 0))
    setting = _setting_words(pin.setting, model)
    return f"{setting or 'as things stand now'}: {shown}"


def case_record(case: Case, model: Model, truth: bool = False) -> dict[str, object]:
    """The case for a JSON document."""
    known: dict[str, object] = {
        "name": case.name,
        "title": case.title,
        "model": model.name,
        "stage": case.stage,
        "write_up": case.write_up,
        "seen": [
            {
                "situation": s.setting.situation,
                "differs": s.setting.differs,
                "reports": s.reports,
                "others": s.others,
            }
            for s in case.seen
        ],
        "now": {"situation": case.now.situation, "differs": case.now.differs},
        "state": case.review.state,
        "version": case.review.version,
        "digest": case.digest,
    }
    hidden = {
        "truth": case.truth,
        "kinds": case.kinds,
        "right_end": case.right_end,
        "seed": case.seed,
        "aims": [{"aim": aim.name, "text": aim.text, "syllabus": aim.syllabus} for aim in case.aims],
    }
    return known | hidden if truth else known
