"""What was heard, in the light of what the conversation knows already.

What the operator said no to is believed less, a number that cannot stand on the gauge
hardly at all, one that was heard before more, a "good" more when "good" is what this
operator mostly says, and asking again is worth less each time that it has not helped.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from decimal import Decimal

from voicecheck.dialogue import confirmation
from voicecheck.dialogue.confirmation import CostTable, Outcome
from voicecheck.dialogue.habit import believed
from voicecheck.dialogue.machine import State
from voicecheck.dialogue.talk import Talk
from voicecheck.dialogue.turns import Listen
from voicecheck.round.checklist import ReadingSpec
from voicecheck.speech.ports import Heard, Hypothesis

__all__ = ["Weighed", "counts_in_doubt", "possible_first", "weigh"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """What may have been said, and what is to become of it."""

    hypotheses: tuple[Hypothesis, ...]
    """The likeliest first."""
    outcome: Outcome


def weigh(talk: Talk, listen: Listen, heard: Heard) -> Weighed:
    """Weigh what was heard at a question."""
    fitting = confirmation.fitting(heard, listen.active)
    whole = talk.draft.spelled is None
    first = talk.state is State.ASKING and not talk.draft.parts and whole
    if listen.active.numbers:
        if first:
            fitting = talk.draft.number_tries.joined(fitting)
        # last: an earlier try must not bring back what cannot stand on the gauge
        fitting = _on_the_gauge(talk, fitting)
    objection = talk.present.objection
    if talk.state is State.CONFIRMING and objection is not None:
        fitting = objection.weighed(fitting)
    refused = talk.draft.refused if first else frozenset()
    hypotheses = confirmation.weighed(fitting, refused)
    costs = confirmation.standard_costs()
    trust = {} if first else _trust(talk, listen)
    if trust:
        hypotheses = confirmation.distrusted(hypotheses, trust)
        costs = confirmation.refused_costs()
    own_price = listen.active.numbers or bool(trust)
    if talk.state is State.ASKING and (talk.machine.failures or not own_price):
        costs = costs.after(talk.machine.failures)
    by_habit = first and talk.settings.moves_odds
    likely = believed(hypotheses, talk.habit.odds) if by_habit else hypotheses
    return Weighed(
        hypotheses=hypotheses, outcome=_decided(talk, likely, costs, refused)
    )


def counts_in_doubt(talk: Talk, hypotheses: Sequence[Hypothesis]) -> bool:
    """Tell what need not be sure: control words are asked about, and a doubtful no
    to a read-back is a no: the safe side."""
    if not hypotheses:
        return False
    confirming = talk.state is State.CONFIRMING
    return hypotheses[0].control or (confirming and hypotheses[0].meaning == "no")


def possible_first(
    hypotheses: Sequence[Hypothesis], impossible: Collection[str]
) -> tuple[Hypothesis, ...]:
    """Leave out what cannot be meant; the others share its probability.

    Bayes' rule with a prior of nothing. Where nothing else was heard all stays: the
    operator is then told why it cannot be.

    Args:
        hypotheses: the likeliest first.
        impossible: their meanings.
    """
    believed = confirmation.distrusted(hypotheses, dict.fromkeys(impossible, 0.0))
    left = tuple(h for h in believed if h.meaning not in impossible)
    return left or tuple(hypotheses)


def _on_the_gauge(
    talk: Talk, hypotheses: tuple[Hypothesis, ...]
) -> tuple[Hypothesis, ...]:
    spec = talk.point.reading
    if talk.state is not State.ASKING or spec is None:
        return hypotheses
    impossible = {
        h.meaning
        for h in hypotheses
        if not h.control
        and h.meaning[:1].isdigit()
        and not _stands_on(spec, Decimal(h.meaning))
    }
    return possible_first(hypotheses, impossible)


def _stands_on(spec: ReadingSpec, value: Decimal) -> bool:
    """Tell whether a gauge can show a value: within its range, with its digits."""
    return spec.is_plausible(value) and spec.shows(value)


def _trust(talk: Talk, listen: Listen) -> dict[str, float]:
    """How far the details of refused answers are believed at this question."""
    if talk.state is not State.ASKING:
        return {}
    question = listen.active.question
    trust = talk.draft.trust.items()
    return {said: kept for (asked, said), kept in trust if asked == question}


def _decided(
    talk: Talk,
    hypotheses: tuple[Hypothesis, ...],
    costs: CostTable,
    refused: Collection[str],
) -> Outcome:
    asking = talk.state is State.ASKING
    return confirmation.decide(
        hypotheses,
        costs,
        refused=refused,
        can_read_back=asking or counts_in_doubt(talk, hypotheses),
    )
