"""Spot and call: a described situation, called as on a walk, judged at once."""

from __future__ import annotations

from collections.abc import Sequence

from voicecheck.errors import LearnError
from voicecheck.learn.cards import call_card
from voicecheck.learn.events import Call, CallParts, Grade, Mode, Opened, Review
from voicecheck.learn.sessions.ports import Choice, Feedback, Listening, Question
from voicecheck.learn.sessions.spot_feedback import feedback_text, sources
from voicecheck.learn.sessions.texts import Texts
from voicecheck.learn.situations import Situation
from voicecheck.round.answers import LeakClass, Severity
from voicecheck.round.checklist import Checklist, Checkpoint, CheckpointKind

__all__ = ["Spot", "grade"]

_OPENINGS: dict[CheckpointKind, tuple[Listening, tuple[str, ...]]] = {
    CheckpointKind.START: (Listening.YES_NO, ("yes", "no")),
    CheckpointKind.LEVEL: (Listening.LEVEL, ("full", "between", "low", "empty")),
    CheckpointKind.READING: (Listening.YES_NO, ("yes", "no")),
}
_CONDITION = (Listening.CONDITION, ("good", "defect", "leak", "could_not_check"))
_SETTLED = (Opened.YES, Opened.NO)
"""A start check decides by itself: yes goes on, no stops."""


class Spot:
    """Ask one learner to call situations, one after the other.

    Args:
        checklist: of which machine, in the language of the learner.
        situations: of this checklist, in the order in which they are asked.
    """

    mode = Mode.SPOT

    def __init__(self, checklist: Checklist, situations: Sequence[Situation]) -> None:
        self._checklist = checklist
        self._texts = Texts("spot", checklist.language)
        self._situations = tuple(situations)
        self._at = 0
        self._parts: dict[str, str] = {}
        self._hinted = False
        self._calls: list[Call] = []

    @property
    def finished(self) -> bool:
        """Tell whether every situation has been called."""
        return self._at >= len(self._situations)

    @property
    def situation(self) -> Situation:
        """The situation at hand.

        Raises:
            LearnError: all have been called.
        """
        if self.finished:
            raise LearnError("all situations have been called; begin another session")
        return self._situations[self._at]

    @property
    def calls(self) -> tuple[Call, ...]:
        """What has been called so far."""
        return tuple(self._calls)

    def ask(self) -> Question:
        """Return the question that is open; the situation stands before the first."""
        name, listening, values = self._open()
        text = self._texts.say(name)
        if not self._parts:
            text = f"{self._point.prompt} {self.situation.text} {text}"
        return Question(
            text=text,
            listening=listening,
            choices=tuple(
                Choice(value=value, words=self._texts.word("words", value))
                for value in values
            ),
        )

    def answer(self, value: str) -> Feedback:
        """Take one part of the call; the last one brings the judgement."""
        name, _, values = self._open()
        if value not in values:
            raise LearnError(
                f"{value!r} is no answer here; there are: {', '.join(values)}"
            )
        self._parts[_key(name)] = value
        if self._missing() is not None:
            return Feedback(text="")
        return self._judge()

    def hint(self) -> Feedback:
        """Say what wrong looks like here, or what the words mean."""
        name, _, _ = self._open()
        self._hinted = True
        key = name if name in ("severity", "leak_class", "may_work") else "good"
        text = self._texts.word("hints", key).format(wrong=self._point.wrong)
        return Feedback(text=text)

    def ending(self) -> Feedback:
        """Say how many calls were right, and how many defects were called good."""
        if not self._calls:
            return Feedback(text=self._texts.say("nothing"))
        right = sum(call.said == call.expected for call in self._calls)
        missed = sum(_missed(call) for call in self._calls)
        text = self._texts.say("ending", right=right, count=len(self._calls))
        if missed:
            key = "missed_once" if missed == 1 else "missed"
            text = f"{text} {self._texts.say(key, count=missed)}"
        return Feedback(text=text, right=right == len(self._calls))

    # ---- what is open -------------------------------------------------------

    @property
    def _point(self) -> Checkpoint:
        return self._checklist.checkpoint(self.situation.checkpoint_id)

    def _open(self) -> tuple[str, Listening, tuple[str, ...]]:
        missing = self._missing()
        if missing is None:
            raise LearnError("all situations have been called; begin another session")
        return missing

    def _missing(self) -> tuple[str, Listening, tuple[str, ...]] | None:
        """Return name, grammar and values of the next part, as the learner leads."""
        if self.finished:
            return None
        kind = self._point.kind
        if "opened" not in self._parts:
            listening, values = _OPENINGS.get(kind, _CONDITION)
            return _QUESTION.get(kind, "condition"), listening, values
        opened = self._opened()
        if opened is Opened.DEFECT and "severity" not in self._parts:
            return "severity", Listening.SEVERITY, tuple(Severity)
        if opened is Opened.LEAK and "leak_class" not in self._parts:
            return "leak_class", Listening.LEAK_CLASS, tuple(LeakClass)
        asks = not opened.all_well and opened not in _SETTLED
        if asks and "may_work" not in self._parts:
            return "may_work", Listening.YES_NO, ("yes", "no")
        return None

    def _opened(self) -> Opened:
        value = self._parts["opened"]
        if self._point.kind is CheckpointKind.READING:
            return Opened.IN_LIMITS if value == "yes" else Opened.OUTSIDE
        return Opened(value)

    # ---- judging ------------------------------------------------------------

    def _said(self) -> CallParts:
        opened = self._opened()
        severity = self._parts.get("severity")
        leak_class = self._parts.get("leak_class")
        return CallParts(
            opened=opened,
            severity=Severity(severity) if severity else None,
            leak_class=LeakClass(leak_class) if leak_class else None,
            may_work=opened.all_well or self._parts.get("may_work") == "yes",
        )

    def _judge(self) -> Feedback:
        one, said = self.situation, self._said()
        call = Call(
            checklist=self._checklist.name,
            checkpoint=one.checkpoint_id,
            situation=one.id,
            expected=one.expected,
            said=said,
            outcome=one.decision.outcome,
            hinted=self._hinted,
        )
        review = Review(
            card=call_card(self._checklist.name, one.kind).id,
            grade=grade(one.expected, said, hinted=self._hinted),
            mode=Mode.SPOT,
        )
        self._calls.append(call)
        self._at += 1
        self._parts, self._hinted = {}, False
        return Feedback(
            text=feedback_text(one, said, self._texts),
            right=said == one.expected,
            caution=one.caution,
            source=sources(one, self._texts),
            events=(call, review),
        )


_QUESTION = {
    CheckpointKind.START: "start",
    CheckpointKind.LEVEL: "level",
    CheckpointKind.READING: "reading",
}


def _key(name: str) -> str:
    return name if name in ("severity", "leak_class", "may_work") else "opened"


def _missed(call: Call) -> bool:
    return call.said.opened.all_well and not call.expected.opened.all_well


def grade(expected: CallParts, said: CallParts, *, hinted: bool) -> Grade:
    """Grade a call.

    Again, when it begins wrongly or lets a machine work that may not; hard, when
    it was hinted at, or severity or class are one step off, or a machine was
    held back without need.
    """
    if said.opened is not expected.opened:
        both_well = said.opened.all_well and expected.opened.all_well
        both_short = {said.opened, expected.opened} == {Opened.LOW, Opened.EMPTY}
        if not (both_well or both_short):
            return Grade.AGAIN
    if said.may_work and not expected.may_work:
        return Grade.AGAIN
    if _steps_off(expected, said) > 1:
        return Grade.AGAIN
    if hinted or said != expected:
        return Grade.HARD
    return Grade.GOOD


def _steps_off(expected: CallParts, said: CallParts) -> int:
    if expected.severity is not None and said.severity is not None:
        return abs(expected.severity.rank - said.severity.rank)
    if expected.leak_class is not None and said.leak_class is not None:
        return abs(expected.leak_class.rank - said.leak_class.rank)
    return 0
