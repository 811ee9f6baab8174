"""The first lines of a practice log: with what it was begun, what the crew reported, how things stand."""

from __future__ import annotations

from faultiso import __version__
from faultiso.belief.observed import sign_of
from faultiso.casebook.case import Case
from faultiso.casebook.complaint import complaint, read, setting_of
from faultiso.model.system import Model
from faultiso.practice.terms import Terms
from faultiso.session import events as kinds
from faultiso.session import words
from faultiso.session.desk import Desk, Log


def record_beginning(case: Case, model: Model, log: Log, terms: Terms) -> Desk:
    """Write the beginning of the log; the desk at which the work goes on. Nothing of the truth is in it."""
    desk = Desk(model, log)
    desk.record(
        kinds.BEGAN,
        kind="practice",
        model=model.name,
        title=model.title,
        subject=model.subject,
        digest="" if terms.pack else model.digest,
        file=terms.model_file,
        tool=__version__,
        format=kinds.FORMAT,
        candidate=terms.candidate,
        case=case.name,
        case_title=case.title,
        case_digest=case.digest,
        case_file=terms.case_file,
        mode=terms.mode,
        minutes=terms.minutes,
        pack=terms.pack,
    )
    told = complaint(case, model)
    for at, seen in enumerate(case.seen):
        settings = setting_of(model, seen.setting)
        desk.record(kinds.SEEN, settings=settings, situation=seen.setting.situation)
        for name, answer in seen.reports.items():
            _report(desk, model, name, answer)
        desk.record(kinds.REPORTS_DONE)
        normal = {r.sign: r.outcome for r in told.readings if r.moment == at and r.sign not in seen.reports}
        desk.record(kinds.OTHERS, answer=seen.others, normal=normal)
    desk.record(kinds.PLACED, settings=setting_of(model, case.now), situation=case.now.situation)
    return desk


def _report(desk: Desk, model: Model, name: str, typed: str) -> None:
    found = read(model, {name: typed}, 0)
    answer = (found[0].outcome or found[0].number) if found else None
    said = words.answer_words(sign_of(model, name), answer)
    desk.record(kinds.REPORTED, sign=name, answer=answer, typed=typed, words=said)
