"""One sound presented to a Vosk model in several ways; words for any speech."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib import resources

import numpy as np

from voicecheck.audio.frames import Frames
from voicecheck.audio.mixing import active_level_db, guard_peak
from voicecheck.errors import GrammarError

_MOST_GAIN_DB = 40.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Take:
    """One way of presenting the same sound to the model.

    A word that was really said is heard alike at a little more or less level,
    noise and shift; a chance match seldom is.
    """

    level_db: float
    """Active level, dB against full scale."""
    dither_db: float
    """White noise, dB against the active level: no digital silence is decoded."""
    late: int
    """Samples cut off the beginning."""

    def of(self, frames: Frames) -> Frames:
        """Return the sound so presented."""
        sound = frames[min(self.late, len(frames) // 10) :]
        now_db = active_level_db(sound)
        if not np.isfinite(now_db):
            now_db = self.level_db
        gain = np.float32(10 ** (min(_MOST_GAIN_DB, self.level_db - now_db) / 20))
        rng = np.random.default_rng(self.late)  # the same sound is heard alike
        dither = rng.standard_normal(len(sound)).astype(np.float32)
        amount = np.float32(10 ** ((self.level_db + self.dither_db) / 20))
        return guard_peak((sound * gain + dither * amount).astype(np.float32))


TAKES = (
    Take(level_db=-20.0, dither_db=-25.0, late=0),
    Take(level_db=-16.0, dither_db=-25.0, late=80),
    Take(level_db=-24.0, dither_db=-25.0, late=160),
    Take(level_db=-20.0, dither_db=-35.0, late=120),
    Take(level_db=-18.0, dither_db=-22.0, late=40),
)
"""The models hear best about 20 dB below full scale; 10 dB less loses a third of
the words."""


@cache
def filler_words(language: str) -> tuple[str, ...]:
    """Return the short words that stand for any speech of a language.

    Raises:
        GrammarError: the language has none.
    """
    file = resources.files(__package__) / "fillers" / f"{language}.txt"
    try:
        lines = file.read_text(encoding="utf-8").splitlines()
    except FileNotFoundError as error:
        raise GrammarError(
            f"no filler words for {language!r}: add speech/fillers/{language}.txt"
        ) from error
    return tuple(
        word for line in lines if not line.startswith("#") for word in line.split()
    )
