"""What hears the simulated operators: with a profile, or as strangers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from voicecheck.bench.walks_voices import Examples, WalkVoice
from voicecheck.dialogue.runner import Watch
from voicecheck.speech.enrolment.acquaintance import Acquaintance
from voicecheck.speech.enrolment.fitting import fit_voice
from voicecheck.speech.enrolment.own_voice import OwnVoice
from voicecheck.speech.enrolment.profile import Example
from voicecheck.speech.paired_recogniser import PairedRecogniser
from voicecheck.speech.ports import Recogniser

__all__ = ["WalkHearing"]


class WalkHearing:
    """Give each walk its recogniser.

    Args:
        examples: speaker, phrase, clips to enrol from; None: they are strangers.
        learns: get used to a stranger's voice on its walk, as `walk` does.
    """

    def __init__(self, examples: Examples | None, *, learns: bool) -> None:
        self._examples = examples
        self._learns = learns
        self._stranger = PairedRecogniser()

    def of(self, voice: WalkVoice) -> tuple[Recogniser, Watch]:
        """Return what hears one walk, and what is told of what happens on it."""
        if self._examples is not None:
            return self._enrolled(voice.speaker, self._examples), _ignore
        if not self._learns:
            return self._stranger, _ignore
        used = Acquaintance(self._stranger, at_once=True)
        return used.recogniser, used.watch

    def _enrolled(self, speaker: str, examples: Examples) -> Recogniser:
        """Return a recogniser with a fresh profile, fitted as `enrol` fits it."""
        network = self._stranger.network
        said = [
            Example(phrase=phrase, frames=frames)
            for phrase, clips in examples[speaker].items()
            for frames in clips
        ]
        profile = OwnVoice(speaker, fit_voice(network, said), network)
        return self._stranger.with_profile(profile)


def _ignore(kind: str, data: Mapping[str, Any]) -> None:
    """Follow nothing."""
