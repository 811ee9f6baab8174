"""One JSON document for programs: ASCII, no NaN, the notice inside, every text cleaned."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from typing import Any

from faultiso.base.notice import Subject, full_notice
from faultiso.base.text import clean


def document(data: Mapping[str, Any], subject: Subject = "") -> str:
    """The document with ``notice`` added, indented, ending in a newline.

    Mappings keep their order, tuples become lists; a number that JSON has no word for becomes null.
    """
    safe = _safe({**data, "notice": full_notice(subject)})
    return json.dumps(safe, ensure_ascii=True, allow_nan=False, indent=2) + "\n"


def _safe(value: Any) -> Any:
    if isinstance(value, str):
        return clean(value, 100_000)
    if isinstance(value, Mapping):
        return {clean(str(name)): _safe(part) for name, part in value.items()}
    if isinstance(value, Sequence | set | frozenset):
        return [_safe(part) for part in (sorted(value) if isinstance(value, set | frozenset) else value)]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value
