"""What is not in the store cannot be repaired, by nobody and in no plan, and is said in a sentence."""

from __future__ import annotations

import pytest

from faultiso.base.problems import UsageError
from faultiso.casebook.checking import check_case
from faultiso.casebook.repairing import repairs_for
from faultiso.casebook.stock import as_stocked, missing
from faultiso.model.effort import Standing, effort
from faultiso.practice.practice import begin
from faultiso.practice.terms import Terms
from faultiso.session.desk import Lines
from faultiso.session.views import for_name
from tests.casebook.frame import DARK, case_of, changed, lamp

NONE_OF_THE_WIRE = ("right_end: rectified", "right_end: rectified\nno_spare: [replace_wire]")


def test_only_what_is_named_cannot_be_made() -> None:
    case, model = case_of(DARK, NONE_OF_THE_WIRE)
    assert missing(model) == ("replace_wire",)
    for name, repair in model.repairs.items():
        assert (effort(model, repair.work, Standing(model.start)) is None) == (name == "replace_wire")
    assert [repair.name for repair in repairs_for(model, "wire.broken")] == ["replace_all"]
    whole = lamp()
    assert as_stocked(whole, case).digest == whole.digest and missing(whole) == ()
    assert as_stocked(whole, case_of(DARK)[0]) is whole


def test_the_way_out_is_another_one() -> None:
    checked = check_case(*case_of(DARK, NONE_OF_THE_WIRE))
    assert checked.problems == () and checked.findings is not None and checked.findings.way is not None
    assert checked.findings.way.repairs == ("replace_all",)


def test_what_nothing_can_repair_is_not_rectified() -> None:
    both = ("right_end: rectified", "right_end: rectified\nno_spare: [replace_wire, replace_all]")
    (problem,) = changed(DARK, both).problems
    assert problem.code == "right_end" and "no repair of the model clears wire.broken" in problem.message
    (problem,) = changed(
        DARK, ("right_end: rectified", "right_end: rectified\nno_spare: [replace_wir]")
    ).problems
    assert problem.nearest == "replace_wire"


def test_whoever_tries_is_told() -> None:
    play = begin(*case_of(DARK, NONE_OF_THE_WIRE), Lines(), Terms("quiet"))
    with pytest.raises(UsageError, match="no spare for that in the store"):
        for_name(play.desk, "repair", "replace_wire")
    assert "no spare for that in the store" in str(play.take("repair wire"))
    assert play.desk.state.pick is None and not play.desk.state.repairs
