"""The recogniser's score of the prompts' own voice."""

from __future__ import annotations

from voicecheck.audio.noise import NoiseKind
from voicecheck.bench.prompt_trials import ways
from voicecheck.bench.recognised_prompts import recognised
from voicecheck.speech.pocketsphinx_recogniser import PocketSphinxRecogniser
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser


def test_it_understands_in_quiet_and_not_in_a_storm() -> None:
    """All three severities at 40 dB, and fewer when the noise is 25 dB louder than
    the voice."""
    usual, engine = ways()[0], PocketSphinxRecogniser()
    with Pyttsx3Synthesiser() as synthesiser:
        clear, drowned = (
            recognised(
                usual,
                synthesiser,
                engine,
                NoiseKind.PINK,
                snr,
                1,
                question="severity",
            )
            for snr in (40.0, -25.0)
        )
    assert clear.right == (True, True, True)
    assert sum(drowned.right) < 3
    assert all(0.0 <= p <= 1.0 for p in (*clear.probability, *drowned.probability))
