"""What identifies aircraft, operator and people, as it is mostly written: patterns by kind.

They take out too much rather than too little: a small word of the trade that is lost is put back by whoever
reads the text, a registration that stays is not.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

_MARK_TEXT = """
2 3A 3B 3C 3DC 3X 4K 4L 4O 4R 4W 4X 5A 5B 5H 5N 5R 5T 5U 5V 5W 5X 5Y 60 6O 6V 6Y 70 7O 7P 7Q 7T 8P 8Q 8R 9A
9G 9H 9J 9K 9L 9M 9N 9Q 9U 9V 9XR 9Y A2 A3 A40 A4O A5 A6 A7 A8 A9C AP B C C2 C3 C5 C6 C9 CC CN CP CR CS CU
CX D D2 D4 D6 DQ E3 E5 E7 EC EI EK EP ER ES ET EW EX EY EZ F G H4 HA HB HC HH HI HK HP HR HS HV HZ I J2 J3
J5 J6 J7 J8 JU JY LN LV LX LY LZ M N OB OD OE OH OK OM OO OY P P2 P4 PH PJ PK PP PR PS PT PU PZ RA RDPL RP
S2 S5 S7 S9 SE SP SS ST SU SX T2 T3 T7 T8 T9 TC TF TG TI TJ TL TN TR TS TT TU TY TZ UK UN UP UR V2 V3 V4 V5
V6 V7 V8 VH VN VP VQ VT XA XB XC XS XT XU XW XY XZ YA YI YJ YK YL YR YS YU YV Z Z3 ZA ZJ ZK ZM ZP ZS ZT ZU ZZ
"""
#: registrations begin so (nationality marks; Convention on International Civil Aviation, annex 7)
_MARKS = "|".join(_MARK_TEXT.split())

_TRADE_TEXT = """
o-ring o-rings x-ray t-piece c-clip c-clips b-nut b-nuts d-duct p-clip p-clips up-lock z-bracket c-check
"""
#: words of the trade that look like a registration
TRADE = frozenset(_TRADE_TEXT.split())

_PLAIN_TEXT = """
idle gate taxi rest high low full the all both end top stop run gnd ground home zero half flow load speed
stand ramp apron line base least most once that this his her its our out off air main left right nose test
turn take make keep hold read show have been them they same each any one two normal power max min toc tod
apu eng sys hyd elec flap gear pump door page cut and not for was did nil to crew maintenance flight night
day shift pass hand order cruise climb descent ata amm fim tsm mel
"""
#: short words that stand behind "at", "from", "to" or "by" and are neither station nor name
PLAIN = frozenset(_PLAIN_TEXT.split())

_MONTH = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|sept|oct|nov|dec)[a-z]*"
_UNITS = r"(?:psi|bar|ft|feet|lbs?|rpm|kts?|kg|v|a|hz|c|f|min|mins|sec|secs|s|hrs?|h|nm|mm|cm|km|l|%)"
_LABEL = r"\b\s*(?:no\.?|number|nr\.?|#)?\s*[:.#-]?\s*"
_CODE = r"(?P<what>(?=[A-Z/._-]*\d)[A-Z0-9](?:[A-Z0-9/._-]*[A-Z0-9])?)"
_NAME = r"(?P<what>(?:[A-Z]\.\s?)*[A-Z][\w'-]+(?:[ \t]+(?:[A-Z]\.|[A-Z][\w'-]+)){0,2})"
_FIRM = r"(?P<what>[A-Z][\w&'-]*(?:[ \t]+[A-Z][\w&'-]*){0,3})"
_PHONE = r"(?P<what>\+?[\d(][\d ()/.-]{4,}\d)"


def _behind(labels: str, what: str, code: bool = False) -> str:
    """A pattern for what stands behind one of the labels; of a code too the case of letters is free."""
    begin = rf"\b(?:{labels})"
    if code:
        return rf"(?i:{begin}{_LABEL}{what})"
    return rf"(?i:{begin}\b\.?\s*[:.-]?\s*)(?!(?i:{begin}\b)){what}"


_BY = "reported|checked|found|written|done|raised|certified|inspected|entered|signed"
_PEOPLE = (
    "capt(?:ain)?|cpt|f/?o|first officer|s/?o|engr|engineer|technician|tech|mechanic|mech|inspector|insp|"
    rf"pilot|crew chief|mrs?|ms|dr|name|signed|sgd|(?:{_BY}) by|by"
)
_PLACES = "station|stn|base|outstation|airport|hangar|gate|stand|bay"
_WAYS = "at|from|to|ex|in|into|arr(?:ival)?|dep(?:arture)?"

#: kind -> patterns, in the order in which they are looked for; a group called "what" alone is taken out
PATTERNS: Mapping[str, tuple[str, ...]] = {
    "e-mail": (r"(?i:[\w.+-]+\s?(?:@|\(at\)|\[at\])\s?[\w-]+(?:\.[\w-]+)+)",),
    "web address": (r"(?i:\b(?:https?://|www\.)\S+)",),
    "date": (
        r"\b\d{4}[-/.]\d{1,2}[-/.]\d{1,2}(?:T[\d:.]+Z?)?(?![-\d])",
        r"\b\d{1,2}[-/.]\d{1,2}[-/.](?:\d{4}|\d{2})(?![-\d])",
        rf"(?i:\b\d{{1,2}}(?:st|nd|rd|th)?[-/. ]*{_MONTH}\b\.?(?:[-/., ]*(?:\d{{4}}|\d{{2}})\b)?)",
        rf"(?i:\b\d{{1,2}}{_MONTH}(?:\d{{4}}|\d{{2}})\b)",
        rf"(?i:\b{_MONTH}\.?\s+\d{{1,2}}(?:st|nd|rd|th)?\b(?:,?\s*\d{{4}})?)",
    ),
    "time": (
        r"\b\d{1,2}:\d{2}(?::\d{2})?\s?(?:Z|z|UTC|LT|[ap]\.?m\.?)?",
        r"\b\d{4}\s?(?:Z|UTC|LT)\b",
    ),
    "phone number": (
        r"(?<![\w.,-])\+\d[\d ()/.-]{5,}\d",
        _behind("tel|phone|mobile|cell|fax|call", _PHONE),
        r"(?<![\w.,-])\(?0\d{1,5}\)?[ /-]\d[\d -]{4,}\d",
    ),
    "serial or part number": (
        _behind("s/?n|ser(?:ial)?|p/?n|part|msn|batch|lot|grn|tag|cert", _CODE, code=True),
    ),
    "document number": (
        _behind("w/?o|work order|tlp|log ?page|job|task card|ro|page|ref", _CODE, code=True),
    ),
    "licence or staff number": (
        _behind("lic(?:en[cs]e)?|stamp|staff|auth(?:ori[sz]ation)?|emp(?:loyee)?|id", _CODE, code=True),
    ),
    "flight number": (
        _behind("flights?|flt", r"(?P<what>[A-Z0-9]{0,3}\s?\d{1,4}[A-Z]?\b)", code=True),
        r"\b(?!FL\d|ATA\d|VHF|QNH|CB\d|SYS|ENG|BUS|PSI|HYD)(?:[A-Z]{2,3}|[A-Z]\d|\d[A-Z])\d{2,4}[A-Z]?\b",
    ),
    "registration": (
        rf"(?i:(?<![\w-])(?:{_MARKS})-[A-Z0-9]{{3,5}}(?![\w-]))",
        r"(?<![\w-])[A-Z]{1,2}-[A-Z]{3,4}(?![\w-])",
        r"(?i:\bN(?:\d{2,5}|\d{1,4}[A-Z]{1,2})\b)",
        r"(?i:\b(?:JA|HL|UK|YV)-?\d{3,5}[A-Z]{0,2}\b)",
        _behind("a/?c|aircraft|reg(?:istration)?|tail", _CODE, code=True),
    ),
    "operator": (
        _behind("operator|airline|customer|owner", _FIRM),
        r"\b(?:[A-Z][\w&'-]+[ \t]+){1,3}(?i:airlines?|airways|aviation|air|cargo|charter|helicopters|aero)\b",
    ),
    "name": (_behind(_PEOPLE, _NAME),),
    "station": (
        _behind(_PLACES, r"(?P<what>[A-Z]{3,4}\b|[A-Z]?\d{1,3}[A-Z]?\b)"),
        r"\b[A-Z]{3,4}\s?(?:-|/|>|to|TO)\s?[A-Z]{3,4}\b",
        _behind(_WAYS, r"(?P<what>[A-Z]{3,4}\b)"),
    ),
    "long number": (
        r"(?i:(?<![\w.,])(?=[A-Z0-9/-]*[A-Z])(?=(?:[A-Z/-]*\d){4})"
        rf"(?!\d[\d,.]*{_UNITS}\b)[A-Z0-9]+(?:[-/][A-Z0-9]+)*(?!\w))",
        r"(?<![\w.,])\d{5,}(?:[-/]\d+)*(?!\w)",
        r"(?<![\w.,])\d{2,}(?:-\d{2,}){2,}(?!\w)",
    ),
}

COMPILED = {kind: tuple(map(re.compile, patterns)) for kind, patterns in PATTERNS.items()}
