"""A recogniser around another one: it says of itself what the inner one says."""

from __future__ import annotations

from voicecheck.audio.noise_watch.loudness import LOUD_BELOW_DB
from voicecheck.speech.ports import Recogniser

__all__ = ["WrappedRecogniser"]


class WrappedRecogniser:
    """What every wrapper passes on; `recognise` is its own.

    Args:
        inner: the recogniser that hears.
    """

    def __init__(self, inner: Recogniser) -> None:
        self._inner = inner

    @property
    def name(self) -> str:
        """Name of the engine."""
        return self._inner.name

    @property
    def language(self) -> str:
        """Language of the engine."""
        return self._inner.language

    @property
    def hears_early(self) -> bool:
        """Whether it may be asked before the silence is over; see `early_ending`."""
        return getattr(self._inner, "hears_early", True)

    @property
    def odds_tried(self) -> bool:
        """Whether the dialogue may move its odds; see `dialogue.habit`."""
        return getattr(self._inner, "odds_tried", False)

    @property
    def hears_down_to_db(self) -> float:
        """How far down it is reliable; see `noise_watch.loudness`."""
        return getattr(self._inner, "hears_down_to_db", LOUD_BELOW_DB)
