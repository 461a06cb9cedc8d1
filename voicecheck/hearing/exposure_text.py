"""Read a part of the day from a few characters: "2h@95", "1h30@88.5:worn".

A duration (2h, 1.5h, 90min, 1h30), an at sign, the level in dBA outside any
protector, and ":worn" where the protector was worn all that time.
"""

from __future__ import annotations

import re

from voicecheck.hearing.dose import Exposure
from voicecheck.hearing.errors import LevelError

__all__ = ["parse_exposure"]

_EXPECTED = "a duration and a level such as 2h@95, 90min@88 or 1h30@92:worn"
_NUMBER = r"\d{1,4}(?:\.\d{1,3})?"
_FORM = re.compile(
    rf"(?:(?P<hours>{_NUMBER})h)?(?:(?P<minutes>{_NUMBER})(?P<min>min)?)?"
    rf"@(?P<level>{_NUMBER})(?:dBA?)?(?P<worn>:worn)?",
    re.IGNORECASE,
)


def parse_exposure(text: str) -> Exposure:
    """Return the part of the day that a text describes.

    Raises:
        LevelError: the text has another form, or the day does not hold it.
    """
    match = _FORM.fullmatch("".join(text.split()))
    if match is None:
        raise LevelError("part of the day", repr(text), _EXPECTED)
    hours, minutes = match["hours"], match["minutes"]
    bare_number = minutes is not None and hours is None and match["min"] is None
    if (hours is None and minutes is None) or bare_number:
        raise LevelError("part of the day", repr(text), _EXPECTED)
    return Exposure(
        level_dba=float(match["level"]),
        duration_h=float(hours or 0) + float(minutes or 0) / 60.0,
        protector_worn=match["worn"] is not None,
    )
