"""Which phrases of a question are taken for each other, by the shipped path.

Every question is asked as in a walk, with all that may be said then; every
phrase of it is said by several voices in several noises.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence

import numpy as np

from voicecheck.audio.activity import Activity
from voicecheck.audio.frames import Frames
from voicecheck.bench.corpus import Clip
from voicecheck.bench.trials import Condition, make_trial
from voicecheck.errors import UsageError
from voicecheck.speech.file_listener import FileListener
from voicecheck.speech.grammar.active import active_set
from voicecheck.speech.grammar.files import question_names
from voicecheck.speech.ports import ActiveSet, Recogniser
from voicecheck.speech.vocabulary.confusions import Confusions

__all__ = ["asked_sets", "count_confusions"]


def asked_sets(questions: Sequence[str] | None = None) -> list[ActiveSet]:
    """Return what may be said at each English question; numbers are left out.

    Raises:
        UsageError: there is no such question, or it takes numbers.
    """
    known = {name: active_set(name, "en") for name in question_names("en")}
    usable = {name: found for name, found in known.items() if not found.numbers}
    for name in questions or ():
        if name not in usable:
            raise UsageError(
                f"{name!r} is no question with phrases: choose among "
                f"{', '.join(sorted(usable))}"
            )
    return [usable[name] for name in questions or usable]


def count_confusions(
    sets: Sequence[ActiveSet],
    clips: Sequence[Clip],
    conditions: Sequence[Condition],
    recogniser: Recogniser,
    activity: Activity,
    *,
    repeats: int,
    seed: int,
    source: str,
    talkers: tuple[Frames, ...] = (),
    progress: Callable[[str], None] = lambda _: None,
) -> Confusions:
    """Let each phrase be said and count what was heard.

    Args:
        sets: what may be said at each question.
        clips: of all phrases that can be tried.
        conditions: noises.
        recogniser: hears.
        activity: for the end-pointing.
        repeats: how often each phrase is said in each noise.
        seed: of all that is drawn.
        source: recogniser, voices and noises in words.
        talkers: clips for babble.
        progress: told after each question.
    """
    by_text: dict[str, list[Clip]] = defaultdict(list)
    for clip in clips:
        by_text[clip.text].append(clip)
    listener = FileListener(recogniser, activity)
    counts: dict[str, Counter[str]] = defaultdict(Counter)
    rng = np.random.default_rng(seed)
    for active in sets:
        own = [p.text for p in active.phrases if by_text.get(p.text)]
        silent = [p.text for p in active.phrases if not by_text.get(p.text)]
        for text in own:
            for clip, condition in _drawn(by_text[text], conditions, repeats, rng):
                sound = make_trial(clip, condition, rng, talkers=talkers)
                found = listener.hear(sound, active).hypotheses
                counts[text][found[0].phrase if found else ""] += 1
        without = f", without a clip: {', '.join(silent)}" if silent else ""
        progress(f"{active.question}: {len(own)} phrases{without}")
    listed = {said: dict(sorted(row.items())) for said, row in sorted(counts.items())}
    return Confusions(source=source, counts=listed)


def _drawn(
    clips: Sequence[Clip],
    conditions: Sequence[Condition],
    repeats: int,
    rng: np.random.Generator,
) -> Iterator[tuple[Clip, Condition]]:
    for condition in conditions:
        for _ in range(repeats):
            yield clips[int(rng.integers(len(clips)))], condition
