"""The files of a stored profile, as pydantic models: unknown keys are refused."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

from voicecheck.speech.enrolment.profile import Source, VersionKind

__all__ = ["FORMAT", "ExampleEntry", "Owner", "VersionFile"]

FORMAT = 1


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class ExampleEntry(_Strict):
    """One example: what was said, and where its sound lies."""

    phrase: str
    sound: str
    """Name of the FLAC file, which is the beginning of its SHA-256."""
    source: Source
    spoken_utc: str
    snr_db: float


class VersionFile(_Strict):
    """One version of a profile, or the unfinished session."""

    format: Literal[1] = 1
    version: int
    kind: VersionKind
    language: str
    network: str
    """Fingerprint of the network that it was fitted with."""
    created_utc: str
    examples: tuple[ExampleEntry, ...]
    based_on: int | None = None

    def count(self, source: Source) -> int:
        """Return how many examples come from a source."""
        return sum(e.source is source for e in self.examples)

    @property
    def phrases(self) -> tuple[str, ...]:
        """Phrases with examples, in order."""
        return tuple(dict.fromkeys(e.phrase for e in self.examples))


class Owner(_Strict):
    """Whose folder this is, and which version counts."""

    format: Literal[1] = 1
    operator: str
    current: int
    """0 while there is no version."""
    learn: bool = True
    """Whether confirmed answers of walks may join."""
