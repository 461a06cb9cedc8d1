"""Fill the slots of a text: {length} by each amount of that name."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping

from voicecheck.errors import LearnError

_SLOT = re.compile(r"\{(\w+)\}")


def filled(
    text: str,
    amounts: Mapping[str, tuple[str, ...]],
    given: Mapping[str, str] | None = None,
) -> tuple[str, ...]:
    """Return every text that the slots allow, beginning with a capital.

    Args:
        text: with slots such as {length}.
        amounts: the members of each list.
        given: slots with one value, such as {fluid}.

    Raises:
        LearnError: a slot has neither an amount nor a value.
    """
    known = {name: (value,) for name, value in (given or {}).items()}
    names = tuple(dict.fromkeys(_SLOT.findall(text)))
    unknown = [name for name in names if name not in known and name not in amounts]
    if unknown:
        raise LearnError(f"nothing fills the slot {unknown[0]!r} in {text!r}")
    choices = [known.get(name) or amounts[name] for name in names]
    texts = []
    for values in itertools.product(*choices):
        whole = text
        for name, value in zip(names, values, strict=True):
            whole = whole.replace(f"{{{name}}}", value)
        texts.append(whole[:1].upper() + whole[1:])
    return tuple(texts)
