"""Practice on real sound devices: the order of a zone, said aloud and judged.

A PulseAudio server with null sinks is microphone and loudspeaker; the learner
answers when the program says that it listens.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from voicecheck.learn.events import Grade, Order, Review
from voicecheck.learn.keeping import Practice
from voicecheck.people.store import PeopleStore
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser, Voice
from voicecheck.testing.pulse import PulseServer, Talker

pytestmark = [pytest.mark.device, pytest.mark.slow]

ANSWERS = {
    "What do you look at first?": "cab door",
    "Next?": "that is all",
    "Is that all?": "yes",
    "Did you say": "yes",
    "Say carry on": "carry on",
}
"""What the learner says to what is asked."""
VOICE = Voice(name="en-us", words_a_minute=150, pitch=38)


def test_the_order_of_a_zone_is_said_on_a_headset(
    server: PulseServer, tmp_path: Path
) -> None:
    """What was said aloud is kept as recalled."""
    home = tmp_path / "home"
    environment = server.environment | {"VOICECHECK_HOME": str(home)}
    command = [
        *(sys.executable, "-m", "voicecheck.cli.main", "learn", "next"),
        *("--learner", "J.Doe", "--zone", "way_down"),
    ]
    shown: list[str] = []
    with (
        Pyttsx3Synthesiser(tmp_path / "spoken") as synthesiser,
        Talker(environment) as learner,
        subprocess.Popen(
            command,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            env=os.environ | environment,
        ) as program,
    ):
        sounds = {w: synthesiser.speak_as(w, VOICE) for w in set(ANSWERS.values())}
        assert program.stdout is not None
        asked = ""
        for line in program.stdout:
            shown.append(line)
            if "says:" in line:
                asked = line
            if "listens" in line:
                word = next((a for q, a in ANSWERS.items() if q in asked), "help")
                learner.say(sounds[word].frames, sounds[word].rate_hz)

    assert program.returncode == 0, "".join(shown)
    with PeopleStore(home / "people.sqlite3") as people:
        events = [one.event for one in Practice(people, "J.Doe").done()]
    assert [e.said for e in events if isinstance(e, Order)] == [("cab_access",)]
    assert [e.grade for e in events if isinstance(e, Review)] == [Grade.GOOD]
