"""Enrol the operator of a demo: the voice that the seed will choose."""

from __future__ import annotations

import random
import sys
from dataclasses import replace

from voicecheck.audio.frames import Frames
from voicecheck.cli import wiring
from voicecheck.cli.voices import store
from voicecheck.demo.play import DemoSettings
from voicecheck.demo.yard import OPERATOR_VOICES, spoken
from voicecheck.speech.enrolment.fitting import fit_voice
from voicecheck.speech.enrolment.network_view import fingerprint
from voicecheck.speech.enrolment.profile import Example, VersionKind
from voicecheck.speech.enrolment.words import WordList, words_to_say
from voicecheck.speech.network.model import WordNetwork

__all__ = ["enrol_simulated"]

_RATES = (140, 150, 160)


def enrol_simulated(settings: DemoSettings) -> None:
    """Let the voice of this demo say each word at three rates.

    Raises:
        UsageError: no voice can be enrolled in the language.
    """
    words = words_to_say(settings.language, WordList.SHORT)
    # the first draw of the same seed, as `play` makes it
    voice = random.Random(settings.seed).choice(OPERATOR_VOICES[settings.language])
    network = WordNetwork.load()
    with wiring.synthesiser() as synthesiser:

        def say(word: str, rate: int) -> Frames:
            return spoken(synthesiser, word, replace(voice, words_a_minute=rate))

        examples = [
            Example(phrase=word, frames=say(word, rate))
            for word in words
            for rate in _RATES
        ]
    about = store().save(
        settings.operator,
        examples,
        fit_voice(network, examples),
        kind=VersionKind.ENROLMENT,
        language=settings.language,
        network=fingerprint(network),
    )
    print(
        f"Enrolled {settings.operator}: {len(words)} words, version {about.version}.",
        file=sys.stderr,
    )
