"""How well the assessor's mark words are heard and taken, by synthetic voices.

Each trial is a word spoken into a simulated yard, heard by the usual listener, and
put before the policy of the marks. Foreign talk is tried as well: what is taken of
it would be a mark that nobody made.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from voicecheck.audio.activity import Endpointer, SileroActivity
from voicecheck.audio.frames import Frames
from voicecheck.audio.mixing import active_level_db
from voicecheck.audio.noise import NoiseKind
from voicecheck.audio.simulated import SimulatedLink
from voicecheck.bench.voices.ports import Synthesiser
from voicecheck.demo.yard import SPEECH_DBFS, background
from voicecheck.dialogue.confirmation import fitting
from voicecheck.observe.spoken.policy import taken
from voicecheck.observe.spoken.words import GO_TO
from voicecheck.speech.listener import Listener
from voicecheck.speech.ports import ActiveSet, Heard, Hypothesis, Recogniser

_T = TypeVar("_T")

CONDITIONS: tuple[tuple[str, NoiseKind, float | None], ...] = (
    ("quiet", NoiseKind.QUIET, None),
    ("idle 10 dB", NoiseKind.IDLE, 10.0),
)
FOREIGN = (
    "okay",
    "look here",
    "mister",
    "text",
    "what is next",
    "the order",
    "hand me the torch",
    "is it safe",
    "that is missing",
    "he looks at it",
    "under it",
    "go round the back",
)
"""Said beside an observation; no word of ours (invented)."""
_AFTER_S = 1.2
_TIMEOUT_S = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One word in one voice and noise."""

    condition: str
    voice: str
    said: str
    meant: str
    """Meaning; empty: foreign talk."""
    took: str
    """Meaning that was taken; empty: refused, or nothing heard."""
    heard: tuple[tuple[str, float], ...]
    """Phrases with their confidence, the likeliest first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """The trials of one condition, added up."""

    condition: str
    words: int
    right: int
    refused: int
    wrong: int
    taken_as_looked: int
    """Other marks taken as "looked": the dangerous mistake."""
    foreign: int
    foreign_taken: int


def run(
    active: ActiveSet,
    recogniser: Recogniser,
    synthesisers: Sequence[Synthesiser],
    progress: Callable[[str], object] = lambda _: None,
    *,
    most_voices: int = 4,
    most_jumps: int = 4,
    seed: int = 1,
) -> Iterator[Trial]:
    """Try the words, some jumps and foreign talk in every voice and noise.

    Args:
        active: what may be said.
        recogniser: hears.
        synthesisers: say it.
        progress: told each voice.
        most_voices: of each synthesiser, taken evenly from its list.
        most_jumps: to zones, for there are many and all are alike.
        seed: of the noise.
    """
    jumps = [p for p in active.phrases if p.meaning.startswith(GO_TO)]
    words = [phrase for phrase in active.phrases if phrase not in jumps]
    words += _evenly(jumps, most_jumps)
    texts = [(phrase.text, phrase.meaning) for phrase in words]
    texts += [(text, "") for text in FOREIGN]
    rng = np.random.default_rng(seed)
    sounds = {name: background(kind, db, rng) for name, kind, db in CONDITIONS}
    for synthesiser in synthesisers:
        for voice in _evenly(synthesiser.voices(), most_voices):
            progress(voice.key)
            for text, meant in texts:
                clip = synthesiser.say(voice, text)
                if clip is None:
                    continue
                for name, sound in sounds.items():
                    # it goes on where it was, so no two trials have the same noise
                    found = _heard(clip, SimulatedLink(sound), recogniser, active)
                    yield Trial(
                        condition=name,
                        voice=voice.key,
                        said=text,
                        meant=meant,
                        took=taken(found) or "",
                        heard=tuple((h.phrase, h.confidence) for h in found),
                    )


def _evenly(every: Sequence[_T], most: int) -> list[_T]:
    if len(every) <= most:
        return list(every)
    return [every[at * len(every) // most] for at in range(most)]


def _heard(
    clip: Frames, link: SimulatedLink, recogniser: Recogniser, active: ActiveSet
) -> tuple[Hypothesis, ...]:
    gain = 10 ** ((SPEECH_DBFS - active_level_db(clip)) / 20)
    listener = Listener(link, recogniser, Endpointer(SileroActivity()))
    link.say(np.asarray(clip * gain, dtype=np.float32), _AFTER_S)
    heard = listener.listen(active, _TIMEOUT_S)
    return fitting(heard, active) if isinstance(heard, Heard) else ()


def summed_up(trials: Iterable[Trial]) -> tuple[Row, ...]:
    """Add trials up, one row for each condition."""
    by_condition: dict[str, list[Trial]] = {}
    for trial in trials:
        by_condition.setdefault(trial.condition, []).append(trial)
    return tuple(_row(name, own) for name, own in by_condition.items())


def _row(name: str, trials: list[Trial]) -> Row:
    words = [trial for trial in trials if trial.meant]
    foreign = [trial for trial in trials if not trial.meant]
    wrong = [trial for trial in words if trial.took not in ("", trial.meant)]
    return Row(
        condition=name,
        words=len(words),
        right=sum(trial.took == trial.meant for trial in words),
        refused=sum(not trial.took for trial in words),
        wrong=len(wrong),
        taken_as_looked=sum(trial.took == "looked" for trial in wrong),
        foreign=len(foreign),
        foreign_taken=sum(bool(trial.took) for trial in foreign),
    )
