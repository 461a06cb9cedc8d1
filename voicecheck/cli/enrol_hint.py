"""Say after a walk what helps, where a strange voice was often not understood."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

__all__ = ["EnrolHint"]

_FEW = 20
"""Words that say nothing yet about a voice."""
_OFTEN = 0.15
"""Share of words not understood from which it is worth a minute. Of a voice near to
what the network knows 1 % are not in noise at 10 dB, and 5 % at 0 dB."""


class EnrolHint:
    """Count what was heard on a walk by a voice that is not enrolled.

    Args:
        operator: who walked; empty: not said.
    """

    def __init__(self, operator: str) -> None:
        self._operator = operator
        self._heard = 0
        self._lost = 0

    def watch(self, kind: str, data: Mapping[str, Any]) -> None:
        """Take in one happening of the walk."""
        if kind == "heard":
            self._heard += 1
            self._lost += data["outcome"] == "reject"

    def text(self) -> str | None:
        """Return what to say, None where there is nothing to say."""
        if self._heard < _FEW or self._lost < _OFTEN * self._heard:
            return None
        operator = repr(self._operator) if self._operator else "ID"
        return (
            f"{self._lost} of {self._heard} times a word was not understood. It "
            "understands a voice that it knows better. One minute: voicecheck enrol "
            f"--words quick --operator {operator}, then walk with the same --operator."
        )
