"""What a recogniser really took for what: the confusion matrix of a benchmark.

The file is JSON:

    {"schema": "voicecheck.confusions", "version": 1,
     "source": "network, judging voices, 0 dB and better",
     "counts": {"good": {"good": 97, "leak": 1, "": 2}}}

First what was said, then what was heard, then how often; an empty text stands
for nothing heard or something refused.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from voicecheck.errors import UsageError

__all__ = ["Confusions", "read_confusions"]


class Confusions(BaseModel):
    """A confusion matrix and where it is from."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    schema_: Literal["voicecheck.confusions"] = Field(
        default="voicecheck.confusions", alias="schema"
    )
    version: Literal[1] = 1
    source: str = ""
    """Which recogniser, which voices, which noises."""
    counts: dict[str, dict[str, Annotated[int, Field(ge=0)]]]
    """Said → heard → how often."""

    def rate(self, one: str, other: str) -> float | None:
        """Return how often one of two phrases was taken for the other, 0 … 1.

        Returns:
            Mix-ups in both directions over all trials with either phrase; None
            where neither was tried.
        """
        rows = [self.counts.get(one, {}), self.counts.get(other, {})]
        trials = sum(sum(row.values()) for row in rows)
        if trials == 0:
            return None
        return (rows[0].get(other, 0) + rows[1].get(one, 0)) / trials


def read_confusions(path: Path) -> Confusions:
    """Read a confusion matrix.

    Raises:
        UsageError: the file is missing or not in the form; the text says where.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError(
            f"{path} cannot be read: give the confusion file of a hearing benchmark"
        ) from error
    try:
        return Confusions.model_validate_json(text)
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(str(part) for part in first["loc"]) or "the whole"
        raise UsageError(
            f"{path} is no confusion matrix, at {place}: {first['msg']}; "
            'it needs "schema", "version" 1 and "counts"'
        ) from error
