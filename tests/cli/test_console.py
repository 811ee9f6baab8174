"""Where answers come from: a person, a file, standard input."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from faultiso.base.problems import UsageError
from faultiso.cli.console import Left, LineConsole, OutOfAnswers, TerminalConsole, folded, open_console


def test_prepared_lines_are_echoed_behind_their_prompt(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "answers"
    file.write_bytes(b"\xef\xbb\xbf# a comment\r\nquant\r\n\r\n  # another\nnk\n\xff\x1b[2J")
    console = open_console(file)
    assert not console.interactive
    assert [console.ask("0 min > ") for _ in range(4)] == ["quant", "", "nk", "\ufffd\x1b[2J"]
    out, err = capsys.readouterr()
    assert out == "" and err == "0 min > quant\n0 min > \n0 min > nk\n0 min > \ufffd\n"
    with pytest.raises(OutOfAnswers) as ran_out:
        console.ask("Number, or Enter for 1 > ")
    assert str(ran_out.value) == "The answers ran out at an open question: Number, or Enter for 1"
    with pytest.raises(OutOfAnswers) as named:
        console.ask("> ", "pressure 1, psi")
    assert named.value.question == "pressure 1, psi"


def test_a_file_without_lines_answers_nothing(tmp_path: Path) -> None:
    file = tmp_path / "answers"
    file.write_text("")
    with pytest.raises(OutOfAnswers):
        open_console(file).ask("> ")


@pytest.mark.parametrize("name", ["none", ".", "a\0b"])
def test_answers_that_can_not_be_read_are_wrong_use(tmp_path: Path, name: str) -> None:
    with pytest.raises(UsageError, match="can not be read"):
        open_console(tmp_path / name)


def keys(*pressed: str | type[BaseException]) -> Callable[[str], str]:
    """What a person does at one prompt after the other."""
    queue: Iterator[str | type[BaseException]] = iter(pressed)

    def read(_: str) -> str:
        key = next(queue)
        if isinstance(key, str):
            return key
        raise key

    return read


def test_control_c_clears_the_line_and_twice_leaves(capsys: pytest.CaptureFixture[str]) -> None:
    console = TerminalConsole(keys(KeyboardInterrupt, "a", KeyboardInterrupt, KeyboardInterrupt))
    assert console.ask("> ") == "a"
    with pytest.raises(Left):
        console.ask("> ")
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize("pressed", [(EOFError,), (KeyboardInterrupt, EOFError)])
def test_the_end_of_the_input_leaves(pressed: tuple[type[BaseException], ...]) -> None:
    with pytest.raises(Left):
        TerminalConsole(keys(*pressed)).ask("> ")


def test_narration_is_cleaned_and_goes_to_stderr(capsys: pytest.CaptureFixture[str]) -> None:
    LineConsole(iter(())).say("red \x1b[31mflag")
    assert capsys.readouterr() == ("", "red flag\n")


def test_a_prompt_wider_than_the_screen_is_broken_between_its_choices() -> None:
    prompt = "sound of the pump: 1 silent  2 even  3 growling  4 crackling  nk > "
    assert folded(prompt, 80) == prompt
    assert folded(prompt, 40) == "sound of the pump: 1 silent  2 even\n3 growling  4 crackling  nk > "
    assert folded("> ", 40) == "> "
