"""What several tries at the same number say together.

A number that was not understood, or was refused, is said again. Each try alone is
doubtful, but each is doubtful in its own way: the product of what all of them say
for a number is far surer than the last of them.

Method: Bayes' rule with tries that are independent given the number, and with every
number equally likely beforehand. What a try does not name shares what it leaves
over, as one of `_NUMBERS` numbers.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from voicecheck.speech.ports import Hypothesis

__all__ = ["Tries"]

_NUMBERS = 1000
"""About as many readings as could be meant."""
_LEAST_LEFT = 0.02
"""No try is so sure that it leaves less to all that it does not name."""


@dataclass(slots=True)
class Tries:
    """The tries at one number so far."""

    before: list[Mapping[str, Hypothesis]] = field(default_factory=list)
    """Meaning → what was heard, of each."""

    def joined(self, hypotheses: Sequence[Hypothesis]) -> tuple[Hypothesis, ...]:
        """Take in a try; return what all of them say together, the likeliest first.

        Args:
            hypotheses: numbers, of one try. What is no number is left as it is, and
                is no try.
        """
        numbers = [h for h in hypotheses if _is_number(h)]
        if len(numbers) < len(hypotheses) or not numbers:
            return tuple(hypotheses)
        self.before.append({h.meaning: h for h in numbers})
        if len(self.before) == 1:
            return tuple(hypotheses)
        named = {m: h for one in self.before for m, h in one.items()}
        shares = dict.fromkeys(named, 1.0)
        rest = float(_NUMBERS)
        for one in self.before:
            known = {m: h.confidence for m, h in one.items()}
            left = max(_LEAST_LEFT, 1.0 - sum(known.values())) / _NUMBERS
            shares = {m: s * max(known.get(m, 0.0), left) for m, s in shares.items()}
            rest *= left
        total = rest + sum(shares.values())
        found = [replace(h, confidence=shares[m] / total) for m, h in named.items()]
        return tuple(sorted(found, key=lambda h: (-h.confidence, h.meaning)))


def _is_number(hypothesis: Hypothesis) -> bool:
    return not hypothesis.control and hypothesis.meaning[:1].isdigit()
