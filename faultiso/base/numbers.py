"""Numbers as people type them: a small grammar, a small table of units, and never a guess.

`2,700`, `2 700` and `2700` are 2700; `2,7` is asked about. A unit may be left out; another unit of the
same kind is converted and the conversion is shown. No text ever reaches a general unit library.

The factors are exact by definition unless said otherwise: A. Thompson and B. N. Taylor, Guide for the Use
of the International System of Units (SI), NIST Special Publication 811, 2008 edition, appendix B.8.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from faultiso.base.nearest import listed
from faultiso.base.text import one_line

NOT_KNOWN_WORDS = ("nk", "not known")


@dataclass(frozen=True, slots=True)
class Understood:
    """A number in ``unit``; ``shown`` is what the person is told: "138 bar = 2,002 psi"."""

    value: float
    unit: str
    shown: str


@dataclass(frozen=True, slots=True)
class Ambiguous:
    """The text can be read in more than one way; ``choices`` are these ways, ``question`` asks for one."""

    question: str
    choices: tuple[Understood, ...]


@dataclass(frozen=True, slots=True)
class NotANumber:
    """``reason`` is one sentence for the person who typed it."""

    reason: str


@dataclass(frozen=True, slots=True)
class NotKnown:
    """The person does not know. This is no evidence, and it is not 0."""


Reading = Understood | Ambiguous | NotANumber | NotKnown


@dataclass(frozen=True, slots=True)
class Unit:
    """``value * factor + offset`` is the value in the first unit of this kind."""

    name: str
    kind: str
    factor: float = 1.0
    offset: float = 0.0
    words: tuple[str, ...] = ()


#: lbf = 0.45359237 kg * 9.80665 m/s2, inch = 0.0254 m, so psi in Pa is 6894.757...
_PSI = 0.45359237 * 9.80665 / 0.0254**2
#: US gallon = 231 cubic inches
_GALLON = 231 * 0.254**3

_UNITS = (
    Unit("kPa", "pressure", words=("kpa", "KPA", "KPa")),
    Unit("MPa", "pressure", 1000.0, words=("mpa", "MPA", "Mpa")),
    Unit("bar", "pressure", 100.0, words=("Bar", "BAR", "bars")),
    Unit("psi", "pressure", _PSI / 1000, words=("PSI", "Psi", "psig", "lbf/in2", "lb/in2")),
    Unit("C", "temperature", words=("c", "degC", "deg C", "°C", "° C", "degrees C", "celsius", "Celsius")),
    Unit("F", "temperature", 1 / 1.8, -32 / 1.8,
         words=("f", "degF", "deg F", "°F", "° F", "degrees F", "fahrenheit", "Fahrenheit")),
    Unit("l/min", "flow", words=("L/min", "l/m", "lpm", "LPM", "litres per minute", "liters per minute")),
    Unit("gal/min (US)", "flow", _GALLON,
         words=("gal/min(US)", "gal/min", "US gal/min", "gpm", "GPM", "gallons per minute")),
    Unit("V", "voltage", words=("v", "volt", "volts", "VDC", "V DC", "VAC", "V AC")),
    Unit("A", "current", words=("a", "amp", "amps", "ampere", "amperes")),
    Unit("min", "time", words=("mins", "minute", "minutes")),
    Unit("s", "time", 1 / 60, words=("sec", "secs", "second", "seconds")),
    Unit("h", "time", 60.0, words=("hr", "hrs", "hour", "hours")),
    Unit("l", "volume", words=("L", "litre", "litres", "liter", "liters")),
    Unit("US gal", "volume", _GALLON, words=("gal (US)", "gal", "US gallons", "gallon", "gallons")),
    Unit("mm", "length", words=("MM", "millimetre", "millimetres", "millimeter", "millimeters")),
    Unit("in", "length", 25.4, words=('"', "inch", "inches", "IN")),
    Unit("%", "share", words=("per cent", "percent", "pct")),
    Unit("rpm", "speed", words=("RPM", "r/min", "rev/min", "1/min")),
    Unit("per h", "rate", words=("/h", "1/h", "per hour", "an hour", "per flight hour", "per FH", "/FH")),
    Unit("per 1,000 h", "rate", 1e-3, words=("per 1000 h", "/1000 h", "per 1,000 hours", "per 1000 hours")),
    Unit("per million h", "rate", 1e-6, words=("per million hours", "per million flight hours")),
)  # fmt: skip

#: Spellings are listed, never folded: "mPa" and "MPa" differ by a factor of a thousand million.
_BY_WORD = {word: unit for unit in _UNITS for word in (unit.name, *unit.words)}
UNITS = tuple(unit.name for unit in _UNITS)

_SIGNED = re.compile(r"([-+\u2212]?) ?([0-9.,][0-9., ]*(?:[eE][-+]?[0-9]+)?)(.*)")
_WHOLE = r"[0-9]+|[1-9][0-9]{0,2}(?:,[0-9]{3})+|[1-9][0-9]{0,2}(?: [0-9]{3})+"
_PLAIN = re.compile(rf"(?:{_WHOLE})(?:\.[0-9]*)?|\.[0-9]+")
_SCIENTIFIC = re.compile(r"(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)[eE][-+]?[0-9]{1,2}")
_COMMA = re.compile(r"[0-9]*,[0-9]+")
_LONGEST = 60
_LARGEST = 1e12


def read_number(text: str, unit: str = "") -> Reading:
    """What a person means by ``text`` where a number in ``unit`` is asked for ("" = in any unit, or none).

    Any text whatever gives one of the four kinds of reading; nothing is raised and nothing is guessed.
    """
    text = one_line(text, _LONGEST + 1)
    if text.casefold() in NOT_KNOWN_WORDS:
        return NotKnown()
    parts = _SIGNED.fullmatch(text)
    if parts is None or len(text) > _LONGEST:
        return NotANumber(f"A number is wanted{_in(unit)}, or nk for not known.")
    sign = -1.0 if parts[1] in ("-", "\u2212") else 1.0
    digits = parts[2].strip()
    answers = [_with_unit(sign * value + 0.0, parts[3].strip(), unit) for value in _values(digits)]
    return _settled(parts[1] + digits, answers)


def convert(value: float, unit: str, into: str) -> float | None:
    """The value in another unit of the same kind; None if there is no way from one to the other."""
    source, target = _BY_WORD.get(unit), _BY_WORD.get(into)
    if source is None or target is None or source.kind != target.kind:
        return None
    if source is target:
        return value
    return (value * source.factor + source.offset - target.offset) / target.factor


def show_number(value: float, digits: int = 10) -> str:
    """The value for people: thousands parted by commas, at least ``digits`` significant digits."""
    if abs(value) >= 10 ** (digits - 1):
        return f"{value:,.0f}"
    text = f"{value:,.{digits}g}"
    return re.sub(r"e([-+])0?([0-9])", r"e\1\2", text)


def _in(unit: str) -> str:
    return f" in {unit}" if unit else ""


def _values(digits: str) -> list[float]:
    """Every value that the digits may stand for: one if there is no doubt, none if they make no sense."""
    if _SCIENTIFIC.fullmatch(digits):
        return [float(digits)]
    if _PLAIN.fullmatch(digits):
        return [float(re.sub("[, ]", "", digits))]
    if _COMMA.fullmatch(digits):
        return [float(digits.replace(",", ".")), float(digits.replace(",", ""))]
    return []


def _with_unit(value: float, word: str, unit: str) -> Understood | NotANumber:
    if not math.isfinite(value) or abs(value) > _LARGEST:
        return NotANumber("That number is too large to be a reading.")
    shown = show_number(value)
    if word in ("", unit):
        return Understood(value, unit, f"{shown} {unit}".rstrip())
    given = _BY_WORD.get(word)
    if given is None:
        known = listed(_spellings(unit), "and", limit=len(UNITS))
        return NotANumber(f'No unit is called "{word}"; known: {known}.')
    into = unit or given.name
    converted = convert(value, given.name, into)
    if converted is None:
        return NotANumber(f"{given.name} is not what is asked for here; a number in {unit} is wanted.")
    if _BY_WORD.get(into) is given:
        return Understood(value, into, f"{shown} {into}")
    return Understood(converted, into, f"{shown} {given.name} = {show_number(converted, 4)} {into}")


def _spellings(unit: str) -> tuple[str, ...]:
    """The unit and the others of its kind; for a unit that we do not know, itself alone."""
    wanted = _BY_WORD.get(unit)
    if wanted is None:
        return (unit,) if unit else UNITS
    return (unit, *(other.name for other in _UNITS if other.kind == wanted.kind and other is not wanted))


def _settled(text: str, answers: list[Understood | NotANumber]) -> Understood | Ambiguous | NotANumber:
    understood = [answer for answer in answers if isinstance(answer, Understood)]
    if len(understood) == 2 and understood[0] != understood[1]:
        choices = tuple(understood)
        return Ambiguous(f"Does {text} mean {choices[0].shown} or {choices[1].shown}?", choices)
    if answers:
        return understood[0] if understood else answers[0]
    return NotANumber(f'"{text}" can not be read as a number: write 2,700 or 2700, and 2.7 with a point.')
