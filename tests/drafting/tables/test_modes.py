"""A failure-modes table: its heads in any manner, merged cells, and all mistakes in one run by row and column."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from faultiso.base.problems import InvalidModel, UsageError
from faultiso.drafting.tables.modes import BOUNDS, read_modes
from faultiso.drafting.tables.rates import Rates
from faultiso.drafting.tables.worksheet import COLUMNS, KEPT
from tests.drafting.tables.frame import HEAD, refusals, table

WORKSHEET = """System,Shop lift,,,,,,,,,,,,,,,,,
Compiled by: bench 1
Identification Number,Item/Functional Identification (Nomenclature),Function,Failure Modes and Causes,\
Mission Phase / Operational Mode,Failure Effects,,,Failure Detection Method,Compensating Provisions,Severity Class,\
Remarks,Failure Effect Probability (β),Failure Mode Ratio (α),Failure Rate (λp) 10^-6,Operating Time (t),\
Failure Mode Crit #,Item Crit #,Own column
,,,,,Local Effects,Next Higher Level,End Effects,,,,,,,,,,,
1.1,pump,gives pressure,worn,lifting/holding,low output,pressure low,lifts slowly,\
pressure gauge; case flow: high,spare pump,II,watch it,0.3,0.6,20,0.5,1.8,3,x
1.2,,,shaft sheared,all,none,,"does not lift, at all",None.,,Category I - catastrophic,,1,0.4,,,,,
"""


def test_a_worksheet_as_it_is_filled_in(tmp_path: Path) -> None:
    found = table(tmp_path, WORKSHEET)
    first, second = found.modes
    assert (first.item, first.function, first.title, first.number) == (
        "pump",
        "gives pressure",
        "worn",
        "1.1",
    )
    assert first.rate == pytest.approx(12e-6) and second.rate == pytest.approx(8e-6)
    assert first.phases == ("lifting", "holding") and second.phases == ()
    assert first.effects == ("low output", "pressure low", "lifts slowly")
    assert second.effects == ("", "", "does not lift, at all")
    assert first.methods == (("pressure gauge", ""), ("case flow", "high")) and second.methods == ()
    assert (first.severity, second.severity) == ("critical", "catastrophic")
    assert (second.item, second.function, second.line) == ("pump", "gives pressure", 6)
    assert found.before == (("System", "Shop lift"), ("Compiled by: bench 1",))
    assert dict(first.kept) == {
        "Compensating Provisions": "spare pump",
        "Remarks": "watch it",
        "Failure Effect Probability (β)": "0.3",
        "Operating Time (t)": "0.5",
        "Failure Mode Crit #": "1.8",
        "Item Crit #": "3",
        "Own column": "x",
    }


@pytest.mark.parametrize("column", COLUMNS, ids=lambda column: column.name)
def test_every_head_is_known_by_every_title(tmp_path: Path, column: object) -> None:
    assert set(KEPT) <= {known.name for known in COLUMNS}
    for title in column.titles:  # type: ignore[attr-defined]
        heads = {"item": "item", "mode": "mode", "rate": "rate"} | {column.name: title.upper()}  # type: ignore[attr-defined]
        cells = {"severity": "I", "alpha": "1", "rate": "1" if "fpmh" in title else "1e-6"}
        text = ",".join(heads.values()) + "\n" + ",".join(cells.get(name, name) for name in heads)
        (mode,) = table(tmp_path, text).modes
        assert mode.item == "item" and mode.rate == 1e-6
        assert not set(mode.kept) & {title} or column.name in KEPT  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("said", "word"),
    [("I", "catastrophic"), ("iv", "minor"), ("Cat. III", "marginal"), ("2", "critical"), ("", ""), ("-", ""),
     ("Critical (loss of function)", "critical"), ("II - critical", "critical"), ("class IV", "minor")],
)  # fmt: skip
def test_severities(tmp_path: Path, said: str, word: str) -> None:
    (mode,) = table(tmp_path, f"{HEAD}\na,b,,1,1e-6,{said}\n").modes
    assert mode.severity == word


def test_all_mistakes_are_told_in_one_run(tmp_path: Path) -> None:
    text = f"{HEAD}\n,worn,,1,1e-6,\npump,,,x,1e-6,V\npump,worn,feel along the hose,1,1e-6,\n"
    text += 'pump,worn,,1,"2e-6,\npump,torn,,1,1e-6,,,beyond\n'
    assert [problem.partition(";")[0] for problem in refusals(tmp_path, text)] == [
        "shop.csv:2:1: a row without the item",
        "shop.csv:3:6: a row without the failure mode",
        'shop.csv:3:8: column "failure mode ratio": found "x". A number is wanted, or nk for not known',
        'shop.csv:3:15: "V" is no severity class',
        'shop.csv:4:11: "feel along" near a line asks for a hand where fluid may be hot or under pressure',
        'shop.csv:5:6: "worn" of pump stands twice, first in line 4',
        "shop.csv:5:14: a quotation mark opens this cell and none closes it",
        'shop.csv:5:14: column "failure rate": found ""2e-6". A number is wanted in per h, or nk for not known',
        'shop.csv:6:21: "beyond" stands beyond the last column',
    ]


def test_missing_heads_are_told_with_the_nearest(tmp_path: Path) -> None:
    assert refusals(tmp_path, "part nmae,failure moed,rate\na,b,1e-6\n") == [
        'shop.csv:1:1: no column is called "item/functional identification (nomenclature)"; expected one; '
        'nearest: "part nmae"',
        'shop.csv:1:1: no column is called "failure modes and causes"; expected one; nearest: "failure moed"',
    ]
    assert refusals(tmp_path, "item,mode,rate\n") == [
        "shop.csv:1:1: no row stands below the heads; expected one for each failure mode"
    ]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_encodings_and_separators(tmp_path: Path, encoding: str, separator: str) -> None:
    text = separator.join(["item", "failure mode", "failure rate"]) + "\n"
    text += separator.join(["Pumpe für Öl", "verschlissen", "1e-6"]) + "\n"
    mark = b"\xff\xfe" if encoding == "utf-16-le" else b""
    (tmp_path / "a.csv").write_bytes(mark + text.encode(encoding))
    found = read_modes(tmp_path / "a.csv", Rates())
    assert [mode.item for mode in found.modes] == ["Pumpe für Öl"]
    assert [problem.code for problem in found.problems] == ["encoding"] * (encoding == "cp1252")


@given(
    st.binary(max_size=200)
    | st.text(st.sampled_from('item,mode;rate"\n\r\t=+-@\0\ufeff1e-6 '), max_size=200).map(str.encode)
)
@settings(max_examples=300, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_any_bytes_are_a_table_or_told(tmp_path: Path, data: bytes) -> None:
    for begin in (b"", HEAD.encode() + b"\n", HEAD.encode("utf-16")):
        (tmp_path / "a.csv").write_bytes(begin + data)
        try:
            found = read_modes(tmp_path / "a.csv", Rates())
        except InvalidModel as error:
            assert error.problems and all(problem.where.file for problem in error.problems)
        else:
            assert found.modes


def test_files_that_are_no_tables(tmp_path: Path) -> None:
    endless = tmp_path / "a.csv"
    with endless.open("wb") as stream:
        stream.truncate(100_000_000)
    with pytest.raises(InvalidModel, match=f"larger than {BOUNDS.size // 1_000_000} MB"):
        read_modes(endless, Rates())
    with pytest.raises(UsageError, match="failure-modes table cannot be read"):
        read_modes(tmp_path / "none.csv", Rates())
    assert "a NUL byte, the first of 2" in refusals(tmp_path, f"{HEAD}\npu\0mp\0,worn,,1,1e-6,\n")[0]


@pytest.mark.parametrize("said", ["4 catastrophic", "II/III", "IV - critical", "1 or 2"])
def test_a_severity_that_says_two_things_is_refused(tmp_path: Path, said: str) -> None:
    (told,) = refusals(tmp_path, f"item,mode,severity,rate\na,b,{said},1e-6\n")
    assert "is no severity class" in told


def test_a_text_without_a_head_is_told(tmp_path: Path) -> None:
    (told,) = refusals(tmp_path, "item,,mode,rate\na,IMPORTANT WORDS,b,1e-6\n")
    assert told.startswith('shop.csv:2:3: "IMPORTANT WORDS" stands in a column without a head')
