"""What ``model check`` says: found, expected, nearest, the line, the caret, a count."""

from __future__ import annotations

from faultiso.base.problems import Problem, Where
from faultiso.model.system import Model
from faultiso.report.pages.problems import problem_record, problems_page, summary
from faultiso.report.terminal import Look, render

TEXT = "model: tug\nrules:\n  - {when: {moter: stopped}, then: out}\n"
WRONG = Problem(
    "name", Where("tug.yaml", 3, 12, 5), 'no condition is called "moter"; expected motor', "motor"
)
DOUBTFUL = Problem("unused", Where("tug.yaml", 1, 1, 5), "nothing reveals it", severity="warning")
WHOLE = Problem("file", Where("tug.yaml"), "there is no such file")


def test_place_sentence_nearest_and_caret() -> None:
    page = problems_page("tug.yaml", None, (WRONG,), {"tug.yaml": TEXT})
    assert render(page, Look(80)).endswith(
        '\ntug.yaml:3:12: no condition is called "moter"; expected motor; nearest: motor\n'
        "     3 |   - {when: {moter: stopped}, then: out}\n"
        "       |            ^^^^^\n"
        "\n1 error.\n"
    )


def test_a_problem_with_no_line_or_no_text_is_still_told() -> None:
    assert "tug.yaml: there is no such file\n" in render(problems_page("tug.yaml", None, (WHOLE,)))
    beyond = Problem("name", Where("tug.yaml", 99, 1), "beyond the end")
    assert "tug.yaml:99:1: beyond the end" in render(
        problems_page("tug.yaml", None, (beyond,), {"tug.yaml": TEXT})
    )


def test_counts() -> None:
    model = Model("tug", "towing tug", "invented")
    assert summary("tug.yaml", None, (WRONG, WRONG, DOUBTFUL)) == "3 problems: 2 errors, 1 warning."
    assert summary("tug.yaml", None, (WRONG,)) == "1 error."
    assert summary("tug.yaml", model, (DOUBTFUL,)).startswith("tug.yaml is valid: 0 conditions, ")
    assert summary("tug.yaml", model, (DOUBTFUL,)).endswith("; 1 warning")
    assert "warning: nothing reveals it" in render(problems_page("tug.yaml", model, (DOUBTFUL,)))


def test_the_record_for_programs() -> None:
    assert problem_record(WRONG) == {
        "code": "name",
        "severity": "error",
        "file": "tug.yaml",
        "line": 3,
        "column": 12,
        "length": 5,
        "message": WRONG.message,
        "nearest": "motor",
    }
