"""Another way to say what is hard to hear, told once.

One short syllable leaves noise little to miss. Some words have another way to be
said that the recogniser hears far more surely; after such a word had to be read
back, and was meant, the operator is told, once on a walk for each meaning.

Only what was measured is told: a longer word is not always the better one. "Affirm"
is heard less surely than "yes".
"""

from __future__ import annotations

from voicecheck.dialogue.talk import Talk
from voicecheck.dialogue.turns import Notice, Step
from voicecheck.speech.ports import ActiveSet

__all__ = ["HEARD_BETTER", "better_way", "tip"]

HEARD_BETTER = {
    "en": {
        "good": "all in order",
        "full": "up to the mark",
        "between": "between the marks",
    }
}
"""Language → word → the way that is heard better. Probability of the word at 0 dB and
better, no babble, at the median, by a neural voice that nothing was fitted on and by
diphone voices that the network had not heard: good 0.89 and 0.38, all in order 0.998
each (60 trials each); full 0.22 and 0.22, up to the mark 0.996 at the least;
between 0.99 and 0.87, between the marks 1.00 and 0.999 (36 trials each, by a network
before)."""


def better_way(active: ActiveSet, phrase: str) -> str | None:
    """Return the way that is heard better, if it may be said now and means the same."""
    said = active.phrase(phrase)
    told = HEARD_BETTER.get(active.language, {}).get(phrase)
    better = active.phrase(told) if told else None
    if said is None or better is None or better.meaning != said.meaning:
        return None
    return better.text


def tip(talk: Talk) -> tuple[Step, ...]:
    """Tell the better way for the first part of the answer, if it was in doubt."""
    draft = talk.draft
    if not draft.doubtful or not draft.parts or not draft.phrases:
        return ()
    question, meaning = next(iter(draft.parts.items()))
    better = better_way(talk.listen(question).active, draft.phrases[0])
    if better is None or meaning in talk.told_better:
        return ()
    talk.told_better.add(meaning)
    data = {"question": question, "meaning": meaning, "phrase": better}
    return (
        Notice(kind="heard_better", data=data),
        talk.say("heard_better", phrase=better),
    )
