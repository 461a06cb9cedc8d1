"""A simulated operator as a process of its own, for real sound devices.

It reads the events of a walk on its standard input and answers aloud into the
virtual microphone:

    voicecheck walk --unit L-12 --events - |
        python -m voicecheck.testing.answering answers.json

The environment must be that of a running `voicecheck.testing.pulse.PulseServer`.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import sys
import threading
from collections.abc import Iterable, Iterator
from pathlib import Path

from voicecheck.audio.ports import Sound
from voicecheck.checklists.loader import load
from voicecheck.demo.operator import SimulatedOperator
from voicecheck.record import answers_file
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser, Voice
from voicecheck.testing.pulse import Talker

VOICE = Voice(name="en-us", words_a_minute=150, pitch=38)
REACTION_S = 0.35
"""From the event to the answer: the tests need no time to look."""

SLIP_HELP = "say good there by mistake, the first time that its condition is asked"


class Slip:
    """One wrong word, to be corrected by voice.

    Args:
        checkpoint: where "good" is said instead of what is meant; empty: nowhere.
    """

    def __init__(self, checkpoint: str) -> None:
        self._checkpoint = checkpoint
        self._due = False

    def overhear(self, lines: Iterable[str]) -> Iterator[str]:
        """Pass the events on, and notice when the question comes."""
        for line in lines:
            event = json.loads(line)
            if (
                event["event"] == "listening"
                and event["question"] == "condition"
                and event["checkpoint"] == self._checkpoint
            ):
                self._due, self._checkpoint = True, ""
            yield line

    def instead_of(self, phrase: str) -> str:
        """Return what is said: the phrase, or once the wrong word."""
        said = "good" if self._due else phrase
        self._due = False
        return said


def answer_all(
    lines: Iterable[str],
    operator: SimulatedOperator,
) -> None:
    """Hand every event to the operator until the walk ends."""
    for line in lines:
        data = json.loads(line)
        kind = data.pop("event")
        operator.watch(kind, data)
        if kind == "finished":
            return


def main() -> None:
    """Answer one walk."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("answers", type=Path)
    parser.add_argument("--checklist", default="wheel-loader")
    parser.add_argument("--slip", metavar="CHECKPOINT", default="", help=SLIP_HELP)
    options = parser.parse_args()
    checklist = load(options.checklist)
    meant = answers_file.load_complete(options.answers, checklist)
    with Pyttsx3Synthesiser() as synthesiser, Talker(os.environ) as talker:

        def speak(sound: Sound) -> None:
            talker.say(sound.frames, sound.rate_hz)

        slip = Slip(options.slip)

        def say(phrase: str, _after_s: float, _attempt: int) -> None:
            sound = synthesiser.speak_as(slip.instead_of(phrase), VOICE)
            threading.Timer(REACTION_S, speak, [sound]).start()

        operator = SimulatedOperator(checklist, meant, say, "en", random.Random(1))
        answer_all(slip.overhear(sys.stdin), operator)


if __name__ == "__main__":
    main()
