"""Bring what the noise watch found into the conversation and the journal."""

from __future__ import annotations

from collections.abc import Callable

from voicecheck.audio.noise_watch.watch import NoiseWatch
from voicecheck.dialogue.ports import Talker
from voicecheck.record.steps import NoiseMeasured

__all__ = ["NoiseTurns"]


class NoiseTurns:
    """What happens about noise between two turns.

    Args:
        watch: told the microphone's blocks by the listener.
        keep: keeps levels in the journal.
        adapt: told True when prompts are to be slower and louder, False when
            as usual.
        device: the microphone that was calibrated.
    """

    def __init__(
        self,
        watch: NoiseWatch,
        keep: Callable[[NoiseMeasured], object],
        adapt: Callable[[bool], object] = lambda _: None,
        device: str = "",
    ) -> None:
        self._watch = watch
        self._keep = keep
        self._adapt = adapt
        self._device = device

    def tell(self, talk: Talker) -> None:
        """Tell the conversation when it has become too loud, or quiet again."""
        change = self._watch.take_change()
        if change is not None:
            self._adapt(change.too_loud)
            talk.loudness_changed(change)

    def keep(self, zone_id: str | None) -> None:
        """Keep the levels since the last time, as those of a zone."""
        levels = self._watch.take_levels()
        if not levels:
            return
        calibrated = self._watch.full_scale_db is not None
        self._keep(
            NoiseMeasured(
                zone_id=zone_id,
                seconds_at=tuple(levels.items()),
                full_scale_db=self._watch.full_scale_db,
                device=self._device if calibrated else "",
            )
        )
