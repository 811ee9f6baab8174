"""Cells understood: what each row says, and every row that is doubtful or contradicts the model, by its place."""

from __future__ import annotations

from pathlib import Path

import pytest

from faultiso.learning.history import History, load_beside, load_history
from faultiso.learning.rows import Finding
from faultiso.learning.wording import HEADS, understood
from faultiso.model.system import Model
from tests.learning.shop import RIG, read, rig

HEAD = ",".join(HEADS)
MOTOR = """
model: motor
title: motor
subject: generic
conditions: {motor: {values: [stopped, running]}, lid: {values: [shut, open]}}
situations: {at_work: {set: {motor: running}}}
components: {pump: {faults: {worn: {rate: 1e-4}}}}
quantities:
  pressure:
    levels: [normal, low]
    unit: psi
    ranges: {normal: [1900, 2100], low: [100, 1800]}
    causes: [{fault: pump.worn, gives: {low: 0.9}}]
indications: {gauge: {kind: gauge, reads: pressure, tolerance: 40}, light: {kind: light, reads: pressure}}
checks: {port: {reads: pressure, needs: {motor: running}, miss: 0.1}}
"""


def load(folder: Path, model: Model, *lines: str) -> History:
    path = folder / "h.csv"
    path.write_text("\n".join([HEAD, *lines]), encoding="utf-8")
    return load_history(path, model)


def cells(**given: str) -> dict[str, str]:
    return dict.fromkeys(HEADS, "") | given


def test_an_order_becomes_readings_where_they_were_made(tmp_path: Path) -> None:
    model = read(MOTOR)
    found = load(
        tmp_path,
        model,
        "1,50,at_work,lid=open,gauge=low,normal,port=low; gauge=1500 psi@at_work,pump,rectified",
    )
    assert (found.used, found.doubtful, found.set_aside, found.problems) == (1, 0, 0, ())
    (counted,) = found.evidence.rows
    row = counted.row
    assert (counted.times, counted.lines, found.evidence.hours) == (1, (2,), 50.0)
    assert row.finding == Finding("proved", (), ("pump",))
    said = {
        (r.sign, r.outcome or r.number, row.timeline.moments[r.moment].conditions["lid"], r.draw)
        for r in row.readings
    }
    assert said == {
        ("gauge", "low", "open", 0), ("light", "normal", "open", 0), ("port", "low", "open", 1),
        ("gauge", 1500.0, "shut", 1),
    }  # fmt: skip
    assert {m.conditions["motor"] for m in row.timeline.moments} == {"running"}


def test_a_check_without_a_situation_was_made_where_it_can_be(tmp_path: Path) -> None:
    found = load(tmp_path, read(MOTOR), "1,50,,,,,port=low,,")
    (counted,) = found.evidence.rows
    (reading,) = counted.row.readings
    moments = counted.row.timeline.moments
    assert moments[reading.moment].conditions["motor"] == "running"
    assert {moment.conditions["motor"] for moment in moments} == {"stopped", "running"}


WRONG = {
    ("situation", "at_wrok"): 'no situation is called "at_wrok"; expected at_work|at_work',
    ("conditions", "motor"): '"motor": expected name=value|',
    ("conditions", "motor=runing"): "condition motor cannot be 'runing'|",
    ("conditions", "lid=open; lid=shut"): "lid is given twice|",
    ("complaint", "gage=low"): "no indication or check is called 'gage'; nearest: gauge|",
    ("complaint", "gauge=lw"): "gauge cannot be 'lw'|",
    ("complaint", "gauge"): '"gauge": expected name=outcome|',
    ("complaint", "gauge=2,7"): "Does 2,7 mean|",
    ("complaint", "gauge=low@nowhere"): 'no situation is called "nowhere"|',
    ("checks", "port=3000000000000000 psi"): "That number is too large|",
    ("others", "quiet"): "no word for the others|",
    ("found", "pump.wron"): 'no fault or unit is called "pump.wron"|pump.worn',
    ("result", "rectifed"): 'an order is not closed as "rectifed"|rectified',
}


@pytest.mark.parametrize(("column", "text"), WRONG)
def test_what_the_model_does_not_know_sets_the_row_aside(tmp_path: Path, column: str, text: str) -> None:
    message, nearest = WRONG[column, text].split("|")
    quoted = ",".join('"' + value + '"' for value in cells(hours="10", **{column: text}).values())
    found = load(tmp_path, read(MOTOR), "1,10,,,gauge=low,,,,", quoted)
    assert (found.used, found.set_aside, found.evidence.hours) == (1, 1, 10.0)
    (problem,) = found.problems
    assert message in problem.message and nearest in problem.nearest and problem.severity == "error"
    assert problem.where.line == 3
    assert quoted[problem.where.column - 1 :].startswith('"' + text)


DOUBTFUL = {
    ("", "rectified"): "no fault or unit is named",
    ("none", "rectified"): "no fault or unit is named",
    ("none", "test satisfactory"): "no unit is named",
    ("pump", "no fault found"): "but something is named",
    ("pump", ""): "not said to be rectified",
}


@pytest.mark.parametrize(("found", "result"), DOUBTFUL)
def test_columns_that_do_not_go_together_are_doubtful(tmp_path: Path, found: str, result: str) -> None:
    history = load(tmp_path, read(MOTOR), f"1,10,,,gauge=low,,,{found},{result}")
    (problem,) = history.problems
    assert DOUBTFUL[found, result] in problem.message and problem.severity == "warning"
    assert (history.used, history.doubtful, history.set_aside) == (1, 1, 0)
    (counted,) = history.evidence.rows
    assert counted.row.finding.words == ("weak" if result == "" else "")


@pytest.mark.parametrize(
    ("found", "result", "words"),
    [
        ("pump.worn", "Rectified", "proved"),
        ("pump", "unit replaced, test satisfactory", "weak"),
        ("none", "NFF", "none"),
        ("", "no fault found", "none"),
        ("nk", "referred", ""),
        ("none", "", "none"),
    ],
)
def test_how_an_order_was_closed(found: str, result: str, words: str) -> None:
    said = understood(read(MOTOR), cells(complaint="gauge=low", found=found, result=result))
    assert said.remarks == () and said.order is not None and said.order.finding.words == words


def test_several_slips_of_a_row_are_told_together(tmp_path: Path) -> None:
    found = load(tmp_path, read(MOTOR), "1,10,nowhere,,gage=low; light=loww,,,nothing,gone")
    assert found.set_aside == 1 and len(found.problems) == 5


def test_rows_that_say_the_same_are_one(tmp_path: Path) -> None:
    """In whatever order things stand in a cell."""
    lines = ["1,10,,,gauge=low; light=low,,,,", "2,5,,,light=low;gauge=low,,,,nk", "3,1,,,gauge=low,,,,"]
    found = load(tmp_path, rig_with_light(), *lines)
    assert sorted(counted.times for counted in found.evidence.rows) in ([1, 2], [1, 1, 1])
    assert found.evidence.hours == 16 and found.used == 3


def rig_with_light() -> Model:
    return read(MOTOR)


def test_two_models_share_what_both_can_use(tmp_path: Path) -> None:
    path = tmp_path / "h.csv"
    lines = [HEAD, "1,10,,,gauge=low,,,,", "2,10,,,light=low,,,,", "3,10,,,puddle=wet,,,,"]
    path.write_text("\n".join(lines), encoding="utf-8")
    beside = load_beside(path, read(MOTOR), rig())
    assert [history.used for history in beside.histories] == [2, 2]
    assert [[c.lines for c in e.rows] for e in beside.evidences] == [[(2,)], [(2,)]]


def test_two_models_are_judged_by_the_hours_of_the_rows_that_both_can_read(tmp_path: Path) -> None:
    """Otherwise the one that can read fewer has more quiet hours, or fewer, and looks better."""
    path = tmp_path / "both.csv"
    rows = ["500,gauge=low,pump.worn,rectified"] * 3 + ["500,puddle=wet,pump.seal,rectified"] * 2
    path.write_text("\n".join(["hours,complaint,found,result", *rows]) + "\n", encoding="utf-8")
    renamed = read(RIG.replace("  puddle:", "  pool:"))
    first, second = load_beside(path, rig(), renamed).evidences
    assert (first.times, first.hours) == (second.times, second.hours) == (3, 1500.0)


@pytest.mark.parametrize("sign", ["gauge", "port"])
def test_a_number_that_fits_no_level_sets_its_row_aside(tmp_path: Path, sign: str) -> None:
    column = f"{sign}=3000 psi,,," if sign == "gauge" else f"gauge=low,,{sign}=3000 psi,"
    found = load(
        tmp_path,
        read(MOTOR),
        f"1,50,at_work,,{column}pump,rectified",
        "2,50,at_work,,gauge=low,,,pump,rectified",
    )
    assert (found.used, found.set_aside) == (1, 1)
    (problem,) = found.problems
    assert problem.where.line == 2 and "3000 psi fits no level" in problem.message
