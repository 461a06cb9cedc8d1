"""An answer in the making: the parts heard so far and how they were heard."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from voicecheck.dialogue.tries import Tries
from voicecheck.round.answers import Answer, Good
from voicecheck.round.checklist import Checkpoint
from voicecheck.round.events import How
from voicecheck.round.probing import QuestionName
from voicecheck.speech.ports import Heard, Hypothesis

_LEAST_DOUBT = 0.01
"""So much doubt is left of an answer that was heard for sure, and was wrong."""
_LEAST_TRUST = 0.1
MOST_NUMBER_FAILURES = 2
"""After so many a number is asked digit by digit."""


@dataclass(slots=True, kw_only=True)
class Draft:
    """What is known of one visit to a checkpoint before its answer is confirmed."""

    checkpoint_id: str | None = None
    """None while nothing is asked about a checkpoint."""
    parts: dict[QuestionName, str] = field(default_factory=dict)
    phrases: list[str] = field(default_factory=list)
    confidence: float = 1.0
    doubtful: bool = False
    """Some part was not sure enough to be taken without read-back."""
    tries: int = 0
    """Times that the operator was listened to for this answer."""
    prompted_s: float | None = None
    """When the point was asked first: from then on there was time to look."""
    after_prompt_s: float | None = None
    noise_dbfs: float | None = None
    snr_db: float | None = None
    barge_in: bool = False
    """Some part came while its prompt was still playing."""
    refused: set[str] = field(default_factory=set)
    """Meanings that the operator said no to, of the first part."""
    sureness: dict[QuestionName, float] = field(default_factory=dict)
    """Confidence of each of `parts`."""
    trust: dict[tuple[QuestionName, str], float] = field(default_factory=dict)
    """Share of its probability that a part keeps which stood in a refused answer."""
    number_failures: int = 0
    """Times that a number was refused, impossible or not understood."""
    number_tries: Tries = field(default_factory=Tries)
    """What was heard each time that the number was said as a whole."""
    spelled: str | None = None
    """The signs of a number that is said digit by digit; None: it is not."""

    @property
    def by_digit(self) -> bool:
        """Tell whether the number failed so often that each digit is asked."""
        return self.number_failures >= MOST_NUMBER_FAILURES

    @property
    def sure(self) -> float:
        """Probability that all parts are right, as they were heard."""
        return min(self.confidence, math.prod(self.sureness.values()))

    def listened(self, prompt_began_s: float) -> None:
        """Count one more time that the operator was listened to."""
        self.tries += 1
        if self.prompted_s is None:
            self.prompted_s = prompt_began_s

    def refuse(self) -> None:
        """Forget the parts, and remember what the first of them was."""
        first = list(self.parts.values())[:1]
        self.refused.update(first)
        self._distrust()
        if any(meaning[0].isdigit() for meaning in first):
            self.number_failures += 1
        self.restart()

    def _distrust(self) -> None:
        """Believe each part less by its share of the doubt.

        A no says that at least one part is wrong. With p the confidence of a part
        and P the product of all, by Bayes' rule it is wrong with probability
        (1 - p) / (1 - P).
        """
        doubt = 1.0 - math.prod(self.sureness.values())
        for question, meaning in self.parts.items():
            wrong = (1.0 - self.sureness.get(question, 1.0)) / max(doubt, _LEAST_DOUBT)
            known = self.trust.get((question, meaning), 1.0)
            self.trust[question, meaning] = known * max(_LEAST_TRUST, 1.0 - wrong)

    def restart(self) -> None:
        """Forget the parts; keep what was refused and the count of tries."""
        self.parts.clear()
        self.sureness.clear()
        self.phrases.clear()
        self.confidence = 1.0
        self.doubtful = False
        self.after_prompt_s = None
        self.barge_in = False
        self.spelled = None

    def add(
        self,
        question: QuestionName,
        hypothesis: Hypothesis,
        heard: Heard,
        *,
        doubtful: bool,
    ) -> None:
        """Take in one part."""
        self.parts[question] = hypothesis.meaning
        self.sureness[question] = hypothesis.confidence
        self.take_in(hypothesis, heard, doubtful=doubtful)

    def take_in(self, hypothesis: Hypothesis, heard: Heard, *, doubtful: bool) -> None:
        """Remember what was heard, and how."""
        self.phrases.append(hypothesis.phrase)
        self.confidence = min(self.confidence, hypothesis.confidence)
        self.doubtful = self.doubtful or doubtful
        if self.after_prompt_s is None and self.prompted_s is not None:
            self.after_prompt_s = round(heard.started_s - self.prompted_s, 3)
        self.noise_dbfs = round(heard.noise_dbfs, 1)
        self.snr_db = round(heard.snr_db, 1)
        self.barge_in = self.barge_in or heard.barge_in

    def how(
        self, checkpoint: Checkpoint, answer: Answer, *, confirmed_by: str, engine: str
    ) -> How:
        """Return how the finished answer came in."""
        return How(
            mode="spoken",
            confirmed_by=confirmed_by,
            words=tuple(self.phrases),
            confidence=round(self.confidence, 4),
            tries=self.tries,
            after_prompt_s=self.after_prompt_s,
            too_fast=is_too_fast(checkpoint, answer, self.after_prompt_s),
            noise_dbfs=self.noise_dbfs,
            snr_db=self.snr_db,
            engine=engine,
            barge_in=self.barge_in,
        )


def is_too_fast(
    checkpoint: Checkpoint, answer: Answer, after_prompt_s: float | None
) -> bool:
    """Tell whether a "good" came before a person could have looked."""
    if after_prompt_s is None or not isinstance(answer, Good):
        return False
    return after_prompt_s < checkpoint.min_look_s
