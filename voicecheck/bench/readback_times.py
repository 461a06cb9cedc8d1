"""How long it takes to have the sound of a read-back ready."""

from __future__ import annotations

import time
from collections.abc import Sequence

from voicecheck.audio.tones import Tone, make_tone
from voicecheck.bench.latency import Stopwatch
from voicecheck.checklists.loader import load
from voicecheck.dialogue.wording import Wording
from voicecheck.round.answers import Good
from voicecheck.speech.ports import Synthesiser

__all__ = ["readback_texts", "speaking_times", "tone_time"]


def readback_texts(count: int) -> tuple[str, ...]:
    """Return read-backs of the checklist that ships, as a walk says them."""
    checklist = load("wheel-loader")
    wording = Wording(checklist, "en")
    points = checklist.checkpoints
    step = max(1, len(points) // count)
    return tuple(
        wording.say(
            "confirm", point=wording.point(point), answer=wording.answer(point, Good())
        )
        for point in points[::step][:count]
    )


def speaking_times(
    synthesiser: Synthesiser, texts: Sequence[str], wall: Stopwatch = time.perf_counter
) -> list[float]:
    """Return the seconds that each text takes until its sound is there.

    The engine's process is started before: the first prompt of a walk does so.

    Raises:
        SynthesisError: a text cannot be spoken.
    """
    synthesiser.speak("ready", "en")
    taken = []
    for text in texts:
        began = wall()
        synthesiser.speak(text, "en")
        taken.append(wall() - began)
    return taken


def tone_time(wall: Stopwatch = time.perf_counter) -> tuple[float, float]:
    """Return the seconds to make the tone that opens a read-back, and its length."""
    began = wall()
    sound = make_tone(Tone.TAKEN)
    return wall() - began, sound.seconds
