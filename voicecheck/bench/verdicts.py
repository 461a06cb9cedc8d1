"""What an engine made of one trial, and the rows that are kept of it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path

from voicecheck.bench.foreign import Kind
from voicecheck.dialogue.confirmation import Outcome
from voicecheck.errors import UsageError
from voicecheck.speech.ports import Hypothesis

__all__ = ["Row", "Verdict", "read_rows", "row_line"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What an engine made of one sound."""

    hypotheses: tuple[Hypothesis, ...]
    utterances: int | None = None
    """Pieces of speech that were found; None: the engine does no end-pointing."""
    utterance_s: float | None = None
    """Length of the one that counts."""
    features: Mapping[str, float] | None = None
    """What the confidence was computed from, where the engine tells."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One trial heard by one engine; a line of rows.jsonl."""

    engine: str
    trial: int
    condition: str
    noise: str
    snr_db: float
    kind: str
    """A `Kind`."""
    said: str
    """The phrase said; empty when the sound is no answer."""
    text: str
    """The words said."""
    voice: str
    heard: str | None
    """The likeliest phrase; None: nothing."""
    confidence: float
    second: str | None
    second_confidence: float
    outcome: str
    """What the confirmation policy does: accept, confirm, reject."""
    utterances: int | None = None
    utterance_s: float | None = None
    features: Mapping[str, float] | None = None
    computing_s: float = 0.0
    """Processor time of the engine for this trial."""

    @property
    def is_command(self) -> bool:
        """Tell whether one of the phrases that may be said was said."""
        return self.kind == Kind.COMMAND.value

    @property
    def is_right(self) -> bool:
        """Tell whether the likeliest phrase is the one said."""
        return self.is_command and self.heard == self.said

    @property
    def is_taken(self) -> bool:
        """Tell whether it is taken at once or read back, not refused."""
        return self.heard is not None and self.outcome != Outcome.REJECT.value

    @property
    def is_accepted(self) -> bool:
        """Tell whether it is taken without a read-back."""
        return self.heard is not None and self.outcome == Outcome.ACCEPT.value

    @property
    def speaker(self) -> str:
        """Voice without its setting."""
        return self.voice.rsplit("/", 1)[0]


def row_line(row: Row) -> str:
    """Return a row as one line of JSON."""
    return json.dumps(asdict(row), ensure_ascii=False)


def read_rows(path: Path) -> Iterator[Row]:
    """Read a file of rows.

    Raises:
        UsageError: it cannot be read, or a line is no row.
    """
    try:
        lines: Iterable[str] = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError(
            f"{path} cannot be read: give the rows.jsonl of voicecheck bench hearing"
        ) from error
    for number, line in enumerate(lines, 1):
        try:
            yield Row(**json.loads(line))
        except (TypeError, ValueError) as error:
            raise UsageError(
                f"{path}, line {number} is no row of a hearing benchmark"
            ) from error
