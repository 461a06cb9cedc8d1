"""The recogniser's score of the prompts' own voice."""

from __future__ import annotations

from voicecheck.audio.noise import NoiseKind
from voicecheck.bench.prompt_trials import ways
from voicecheck.bench.recognised_prompts import recognised
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser


def test_it_understands_in_quiet_and_not_in_a_storm() -> None:
    """All three severities at 40 dB, and fewer when the noise is 25 dB louder than
    the voice."""
    usual = ways()[0]
    with Pyttsx3Synthesiser() as synthesiser:
        clear, drowned = (
            recognised(usual, synthesiser, NoiseKind.PINK, snr, 1, question="severity")
            for snr in (40.0, -25.0)
        )
    assert clear == 1.0
    assert drowned < clear
