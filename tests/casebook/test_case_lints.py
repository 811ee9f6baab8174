"""Every lint of cases on a wrong and a right example: code, file, changes of its text, what is told ("" = right)."""

from __future__ import annotations

from pathlib import Path

import pytest

from faultiso.casebook import lints
from tests.casebook.frame import DARK, SMALL, Change, changed

_LAST = 'version: "1"'
CASES: list[tuple[str, Path, tuple[Change, ...], str]] = [
    ("chapter", DARK, ((_LAST, f'{_LAST}\napproved_data: "29-10"'),), "chapter 29 is expected"),
    ("chapter", DARK, ((_LAST, f'{_LAST}\napproved_data: "24-60"'),), ""),
    ("chapter", DARK, ((_LAST, f'{_LAST}\napproved_data: "29"'), ("wire.broken", "bulb.aged")), ""),  # no code
    ("file_name", DARK, (("case: dark", "case: darker"),), '"darker"'),
    ("file_name", DARK, (), ""),
    ("giveaway", DARK, (("hints: Follow the way", "hints: Follow the wire"),), '"the wire"'),
    ("giveaway", DARK, (("title: No glow", "title: A red  cable, dark"),), '"red cable"'),
    ("giveaway", DARK, (("A dark lamp has", "A dark lamp or wire has"),), "an aim names"),
    ("giveaway", DARK, (("hints: Follow", "hints: [Follow the current, Look at the wire]\nnotes: Follow"),), ""),
    ("giveaway", DARK, (("hints: Follow", "hints: Wireless. Follow"),), ""),
    ("hints", DARK, (("hints: Follow", "hints: [Look, ' look ']\nnotes: Follow"),), "same as an earlier"),
    ("hints", DARK, (("hints: Follow", "hints: [Look, Look again]\nnotes: Follow"),), ""),
    ("kinds", DARK, (("[single]", "[double]"),), '"double" means exactly two faults'),
    ("kinds", DARK, (("[single]", "[single, intermittent]"),), '"intermittent" means'),
    ("kinds", DARK, (("[wire.broken]", "[bulb.loose]"),), 'expected the kind "intermittent"'),
    ("kinds", DARK, (("[wire.broken]", "[bulb.loose]"), ("[single]", "[single, intermittent]")), ""),
    ("kinds", DARK, (("[wire.broken]", "[]"),), 'expected the kind "nothing wrong"'),
    ("kinds", DARK, (("[single]", "[single, power loss, latched]"),), ""),
    ("made_there", DARK, (("{glow: none}", "{wire_check: present}"),), "needs cover open"),
    ("made_there", DARK, (("reports: {glow: none}", "differs: {cover: open}, reports: {wire_check: present}"),), ""),
    ("made_there", DARK, ((_LAST, f"{_LAST}\npins: {{shows: {{wire_check: present}}}}"),), "needs cover open"),
    ("made_there", DARK, ((_LAST, f"{_LAST}\npins: {{differs: {{cover: open}}, shows: {{wire_check: present}}}}"),), ""),
    ("made_with", DARK, ((_LAST, f'{_LAST}\nmodel_version: "2"'),), 'version "2"'),
    ("made_with", DARK, ((_LAST, f'{_LAST}\nmodel_version: "1"'),), ""),
    ("made_with", DARK, ((_LAST, f'{_LAST}\nmodel_digest: "00000000"'),), "another than the one"),
    ("precautions", DARK, ((_LAST, f"{_LAST}\ncritical_precautions: [forgotten]"),), '"forgotten"'),
    ("precautions", DARK, ((_LAST, f"{_LAST}\ncritical_precautions: [shock]"),), ""),
    ("review", DARK, ((_LAST, f"{_LAST}\nstate: reviewed"),), "no reviewer"),
    ("review", DARK, ((_LAST, f"{_LAST}\nstate: reviewed\nreviewer: second bench"),), ""),
    ("right_end", DARK, (("right_end: rectified", "right_end: refer"),), "only where it cannot"),
    ("right_end", DARK, (("right_end: rectified", "right_end: deferred"),), "the sheet has dim"),
    ("right_end", DARK, (("[wire.broken]", "[bulb.aged]"), ("right_end: rectified", "right_end: deferred")), ""),
    ("right_end", DARK, (("[wire.broken]", "[]"),), "with nothing wrong"),
    ("right_end", DARK, (("[wire.broken]", "[]"), ("right_end: rectified", "right_end: no fault found")), ""),
    ("right_end", DARK, ((_LAST, f"{_LAST}\nbeyond_model: yes"),), "ends with refer"),
    ("right_end", DARK, ((_LAST, f"{_LAST}\nbeyond_model: yes"), ("right_end: rectified", "right_end: refer")), ""),
    ("wording", SMALL, (("The dial agrees", "Feel the hose. The dial agrees"),), "asks for a hand"),
    ("wording", SMALL, (("The transmitter is good.", "Torque it to 25 Nm."),), "a torque"),
    ("wording", SMALL, (("It went from", "We had to undo the union. It went from"),), "how to open"),
    ("wording", SMALL, (("The dial agrees", "Never feel the hose. The dial agrees"),), ""),
]  # fmt: skip


def module_names() -> set[str]:
    return {path.stem for path in Path(lints.__file__).parent.glob("*.py")} - {"__init__"}


def test_every_file_is_a_lint_that_is_run_and_has_wrong_and_right_examples() -> None:
    codes = {*lints.OF_TEXTS, *lints.OF_SENSE}
    assert module_names() == codes
    assert {code for code, *_, said in CASES if said} == codes
    assert {code for code, *_, said in CASES if not said} == codes


@pytest.mark.parametrize(("code", "path", "changes", "said"), CASES, ids=lambda value: str(value)[:40])
def test_example(code: str, path: Path, changes: tuple[Change, ...], said: str) -> None:
    loaded = changed(path, *changes)
    own = [problem for problem in loaded.problems if problem.code == code]
    if said:
        assert any(said in problem.message for problem in own), [str(problem) for problem in loaded.problems]
        assert all(problem.where.line > 0 for problem in own)
    else:
        assert own == []


def test_another_model_is_an_error_in_a_reviewed_case_only() -> None:
    other = (_LAST, f'{_LAST}\nmodel_version: "2"')
    assert not changed(DARK, other).errors
    reviewed = ("author: model desk", "author: model desk\nreviewer: second bench\nstate: reviewed")
    assert [problem.code for problem in changed(DARK, other, reviewed).errors] == ["made_with"]
