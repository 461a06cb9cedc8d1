"""Sentences that people say to each other in a yard: made up from parts.

They are no answers, although some hold words of ours ("that one is no good"):
an answer is said by itself.
"""

from __future__ import annotations

import numpy as np

__all__ = ["yard_sentences"]

_WHO = (
    "the boss", "the driver", "my brother", "the fitter", "the new man", "she",
    "he", "everybody", "nobody", "the foreman", "the night shift", "the lorry",
    "the crusher", "the loader", "that truck", "the office", "somebody",
)  # fmt: skip
_DID = (
    "wants", "needs", "has lost", "left", "took", "is bringing", "forgot",
    "has fixed", "broke", "will check", "is looking for", "cannot find", "said",
    "moved", "is washing", "has parked", "is waiting for", "ordered",
)  # fmt: skip
_WHAT = (
    "the keys", "a good coat", "the other bucket", "some diesel", "his gloves",
    "a new tyre", "the radio", "it again", "the low loader", "two more loads",
    "the water bowser", "lunch", "the ramp", "that stone", "a full tank",
    "nothing", "the wrong hose", "the old one", "the gate", "three tons",
)  # fmt: skip
_WHEN = (
    "", "", "", "now", "this morning", "after lunch", "at six", "before Monday",
    "in the rain", "over there", "by the crusher", "at the weekend", "next week",
)  # fmt: skip
_SAID = (
    "how was your {what}", "have you got {what}", "come over here a minute",
    "mind your head", "that one is no good", "I said yes to him",
    "is it raining {when}", "give me a hand with {what}", "where is {who} {when}",
    "did {who} call you {when}", "turn that engine off", "I am off home {when}",
    "who took {what}", "tell {who} about {what}", "no I have not seen {who}",
    "yes mate see you {when}", "what did {who} say", "can you hear me {when}",
    "there is a leak in my roof", "good morning to you", "ask {who} {when}",
    "nice weather {when}", "I need help with {what}", "stop pulling my leg",
)  # fmt: skip


def yard_sentences(count: int, seed: int) -> tuple[str, ...]:
    """Make up `count` sentences; repeats are possible, few among thousands.

    Args:
        count: how many.
        seed: of the choice.
    """
    rng = np.random.default_rng(seed)

    def one(of: tuple[str, ...]) -> str:
        return of[int(rng.integers(len(of)))]

    made = []
    for _ in range(count):
        who, what, when = one(_WHO), one(_WHAT), one(_WHEN)
        if rng.uniform() < 0.5:
            text = f"{who} {one(_DID)} {what} {when}"
        else:
            text = one(_SAID).format(who=who, what=what, when=when)
        made.append(" ".join(text.split()))
    return tuple(made)
