"""How likely it is that the operator objects to a read-back.

A recogniser gives probabilities as if "no" were said as often as "yes", and other
words oftener than both. After a read-back it is otherwise: most read-backs are right,
and how surely their answer was heard says how many; and who was asked for yes or no
mostly says one of them. A doubtful yes that is said again adds to what was heard
before, but the same voice in the same noise is misheard alike: earlier tries count
with half their weight.

Only with a recogniser whose probabilities were tried like this (`odds_tried`), and not
while it is too loud to hear reliably.

Method: Bayes' rule with the odds of the answer that is read back as those of a yes,
never more than `MOST`, and `ANSWERS` for yes and no against all else. What a wrong
yes costs stays as it was.

Measured at 0 dB and better, all noises, on voices that the network had not heard
(festvox and style, each by the sister without it; series of up to three tries), for an
answer that was heard with 0.9: of 291 series of a yes 37 % were understood without this
and 54 % with it, of 198 of a no 70 and 75 %. No yes was made of a no either way, and of
111 series of other talk one became a yes either way; with `ANSWERS` at 8, two.
"""

from __future__ import annotations

from collections.abc import Sequence

from voicecheck.dialogue import confirmation
from voicecheck.speech.ports import Hypothesis

__all__ = ["ANSWERS", "MOST", "Objection"]

MOST = 8.0
"""A yes is never taken for more times as likely as a no, before it is heard."""
ANSWERS = 4.0
"""How much likelier than in the trials of the fit yes and no are, against the rest."""
_AGAIN = 0.5
"""Weight of the logarithm of the odds of a try once another follows."""
_RANGE = (1.0 / MOST, MOST)
"""What several tries can make of the odds."""
_PLAIN = 0.5
"""A no that is as likely as all else together is a no, whatever was expected."""
_HEARD = 0.3
"""A try counts for the next when so much of it was yes or no."""
_LEAST = 1e-4


class Objection:
    """What is known at one read-back.

    Args:
        sure: probability of the answer that is read back, as it was heard.
    """

    def __init__(self, sure: float) -> None:
        self.odds = min(MOST, max(1.0, sure / max(1.0 - sure, _LEAST)))
        """Of a yes against a no, before the next try."""

    def weighed(self, hypotheses: Sequence[Hypothesis]) -> tuple[Hypothesis, ...]:
        """Take in a try; return what it says in the light of the read-back.

        Args:
            hypotheses: of this try, as the recogniser gave them.
        """
        said_yes, said_no = (
            sum(h.confidence for h in hypotheses if _is(h, meaning))
            for meaning in ("yes", "no")
        )
        if not said_no:  # what is not named can all be a no
            return tuple(hypotheses)
        trust = {"yes": ANSWERS, "no": ANSWERS / self.odds}
        if said_yes + said_no > _HEARD:
            ratio = max(said_yes, _LEAST) / max(said_no, _LEAST)
            low, high = _RANGE
            self.odds = min(high, max(low, self.odds * ratio**_AGAIN))
        if said_no >= _PLAIN:
            return tuple(hypotheses)
        return confirmation.distrusted(hypotheses, trust)


def _is(hypothesis: Hypothesis, meaning: str) -> bool:
    return hypothesis.meaning == meaning and not hypothesis.control
