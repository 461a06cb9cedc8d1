"""The spoken walk, turn by turn.

A `Conversation` is told what was heard and answers with the next `Turn`. It
knows no sound and no clock; the runner plays its turns. Whatever is not
confirmed is not recorded: three failures in a row on one question lead to a
pause, never to an answer.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from voicecheck.audio.tones import Tone
from voicecheck.dialogue import confirmation, prompts
from voicecheck.dialogue.confirmation import Outcome
from voicecheck.dialogue.controls import Controls
from voicecheck.dialogue.draft import Draft
from voicecheck.dialogue.machine import machine
from voicecheck.dialogue.ports import Keeper
from voicecheck.dialogue.turns import (
    Listen,
    Notice,
    RecordNote,
    Say,
    SayKind,
    Signal,
    Step,
    Turn,
)
from voicecheck.dialogue.wording import Wording
from voicecheck.round import events as ev
from voicecheck.round.answers import Answer, Good, NotFitted, Reason, Yes
from voicecheck.round.checklist import Checkpoint
from voicecheck.round.decision import finding_kind
from voicecheck.round.probing import (
    Question,
    QuestionName,
    first_question,
    next_question,
    problem_with,
    to_answer,
)
from voicecheck.round.record import answer_data
from voicecheck.round.walk import AskCheckpoint, Climb, Over, SumUp
from voicecheck.speech.grammar.active import active_set
from voicecheck.speech.ports import ActiveSet, Heard, Hypothesis, Listened, NoInput

_REFUSED_TRUST = 0.5
"""How much less a meaning is trusted after the operator said no to it."""
_LOUD_SNR_DB = 3.0
"""Below this estimate the operator is asked to speak up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DialogueSettings:
    """How the operator wants to be talked to."""

    confirm_always: bool = False
    """Read back and ask for yes after every answer."""
    full: bool = False
    """Say the explanations for learners with every prompt."""
    timeout_s: float = 12.0
    """Silence until noinput at the first asking: the operator must look first."""
    retry_timeout_s: float = 8.0
    paused_timeout_s: float = 60.0
    engine: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PendingAnswer:
    """A whole answer that waits for yes."""

    checkpoint: Checkpoint
    answer: Answer


@dataclass(frozen=True, slots=True, kw_only=True)
class PendingControl:
    """A control word that waits for yes."""

    hypothesis: Hypothesis


Pending = PendingAnswer | PendingControl


class _Model:
    """Where `transitions` keeps the state."""

    state: str


class Conversation:
    """Talk one operator round one machine."""

    def __init__(
        self,
        keeper: Keeper,
        wording: Wording,
        settings: DialogueSettings | None = None,
    ) -> None:
        self.keeper = keeper
        self.wording = wording
        self.settings = settings or DialogueSettings()
        self.draft = Draft()
        self._pending: Pending | None = None
        self._zone_id: str | None = None
        self._hinted_loud = False
        self._last_turn = Turn(steps=(), then=None)
        self._model = _Model()
        self._machine = machine(self._model)
        self._controls = Controls(self)

    @property
    def state(self) -> str:
        """Name of the state of the machine."""
        return self._model.state

    @property
    def language(self) -> str:
        """Language of prompts and answers."""
        return self.wording.language

    # ---- entry points -------------------------------------------------

    def begin(self) -> Turn:
        """Open the walk, or take it up where it was left."""
        walk = self.keeper.walk
        if walk.paused:
            self.keeper.commit(ev.WalkResumed())
        started = walk.started
        unit = started.unit if started else ""
        resumed = bool(walk.answers) or bool(walk.skipped)
        text = (
            self.wording.say("resume", unit=unit, left=walk.remaining)
            if resumed
            else self.wording.say(
                "start", unit=unit, points=len(walk.checklist.checkpoints)
            )
        )
        cautions = () if resumed else walk.checklist.cautions
        steps: list[Step] = [Say(text=text)]
        steps += [Say(text=caution) for caution in cautions]
        return self.go_on(steps)

    def heard(self, listened: Listened, prompt_began_s: float) -> Turn:
        """Take in what was heard and return the next turn.

        Args:
            listened: what the listener gave.
            prompt_began_s: when the question began to be said, by the clock
                of the sound link.
        """
        self.draft.tries += 1
        if isinstance(listened, NoInput):
            return self._failed("noinput", Notice(kind="noinput"))
        hypotheses = self._weighed(listened.hypotheses)
        outcome = confirmation.decide(hypotheses)
        best = hypotheses[0] if hypotheses else None
        notice = Notice(
            kind="heard",
            data={
                "phrase": best.phrase if best else None,
                "confidence": round(best.confidence, 4) if best else 0.0,
                "outcome": outcome.value,
                "snr_db": round(listened.snr_db, 1),
                "noise_dbfs": round(listened.noise_dbfs, 1),
            },
        )
        if best is None or outcome is Outcome.REJECT:
            return self._failed("nomatch", notice, listened)
        turn = self._understood(best, outcome, listened, prompt_began_s)
        return _with_first(turn, notice)

    def note_recorded(self, clip_sha256: str, seconds: float) -> Turn:
        """Keep a note that was recorded; an empty hash means nothing was said."""
        if not clip_sha256:
            return self.ask_again([Say(text=self.wording.say("note_empty"))])
        self.keeper.commit(
            ev.NoteKept(
                checkpoint_id=self.draft.checkpoint_id,
                clip_sha256=clip_sha256,
                seconds=round(seconds, 2),
            )
        )
        return self.ask_again([Say(text=self.wording.say("note_kept"))])

    def device_lost(self, reason: str) -> tuple[Step, ...]:
        """Put the walk aside because sound is gone."""
        walk = self.keeper.walk
        self.keeper.observe("device_lost", self.draft.checkpoint_id, reason)
        if not walk.over and not walk.paused:
            self.keeper.commit(ev.WalkPaused(cause="device"))
        return (Notice(kind="device_lost", data={"reason": reason}),)

    def device_back(self) -> Turn:
        """Carry on after sound has come back, asking the same question again."""
        self.keeper.observe("device_back", self.draft.checkpoint_id)
        if self.keeper.walk.paused and self.state != "paused":
            self.keeper.commit(ev.WalkResumed())
        steps: list[Step] = [
            Notice(kind="device_back"),
            Say(text=self.wording.say("device_back")),
        ]
        return self._turn([*steps, *self._last_turn.steps], self._last_turn.then)

    # ---- what comes next ----------------------------------------------

    def go_on(self, steps: list[Step]) -> Turn:
        """Turn to whatever the walk wants next."""
        self._pending = None
        match self.keeper.walk.task:
            case AskCheckpoint() as task:
                return self._ask_point(task, steps)
            case Climb() as task:
                return self._climb(task, steps)
            case SumUp():
                return self._sum_up(steps)
            case Over():
                return self._end(steps)

    def ask_again(self, steps: list[Step]) -> Turn:
        """Ask the present question once more from its beginning."""
        if self._pending is not None:
            return self._read_back(self._pending, steps)
        return self.go_on(steps)

    def pause(self, steps: list[Step], cause: str) -> Turn:
        """Put the walk aside until "carry on"."""
        if self.state != "paused":
            self._model.pause()  # type: ignore[attr-defined]
        if not self.keeper.walk.paused:
            self.keeper.commit(ev.WalkPaused(cause=cause))
        steps.append(Notice(kind="paused", data={"cause": cause}))
        return self._turn(
            steps, self._listen(QuestionName.PAUSED, None, self._paused_timeout_s)
        )

    def note(self) -> Turn:
        """Ask for a note and record it."""
        self._model.take_note()  # type: ignore[attr-defined]
        return self._turn(
            [Say(text=self.wording.say("note_now"), kind=SayKind.PROMPT)],
            RecordNote(checkpoint_id=self.draft.checkpoint_id),
        )

    def ask_why_skip(self) -> Turn:
        """Ask for the reason of a skip."""
        self._model.ask_why_skip()  # type: ignore[attr-defined]
        steps: list[Step] = [
            Say(
                text=self.wording.say("ask_skip_reason"),
                kind=SayKind.PROMPT,
                checkpoint_id=self.draft.checkpoint_id,
            )
        ]
        return self._turn(steps, self._listen(QuestionName.REASON, None))

    def confirm_control(self, hypothesis: Hypothesis) -> Turn:
        """Read a control word back before it is obeyed."""
        return self._read_back(PendingControl(hypothesis=hypothesis), [])

    def replace_last(self, steps: list[Step]) -> Turn:
        """Say something and repeat the last turn's prompt."""
        prompts_only = [
            step
            for step in self._last_turn.steps
            if isinstance(step, Say) and step.kind is not SayKind.INFO
        ]
        return self._turn([*steps, *prompts_only], self._last_turn.then)

    @property
    def active(self) -> ActiveSet | None:
        """What may be said now."""
        then = self._last_turn.then
        return then.active if isinstance(then, Listen) else None

    # ---- asking -------------------------------------------------------

    def _ask_point(self, task: AskCheckpoint, steps: list[Step]) -> Turn:
        point = task.checkpoint
        fresh = self.draft.checkpoint_id != point.id
        if fresh:
            self.draft = Draft(checkpoint_id=point.id)
        if self._zone_id != point.zone_id:
            self._zone_id = point.zone_id
            zone = self.keeper.walk.checklist.zone(point.zone_id)
            steps += prompts.zone_steps(self.wording, zone, returning=task.returning)
        self._model.ask()  # type: ignore[attr-defined]
        question = next_question(self.keeper.walk.checklist, point, self.draft.parts)
        if question is None:  # complete, and sent back from a read-back
            self.draft.restart()
            question = first_question(point)
        if not self.draft.parts:
            steps += prompts.prompt_steps(
                self.wording, point, fresh=fresh, full=self.settings.full
            )
        else:
            opened = self._opened(point)
            steps += prompts.follow_up(self.wording, question, opened)
        wait_s = point.min_look_s + self.settings.timeout_s
        return self._turn(steps, self._listen_to(question, wait_s))

    def _opened(self, point: Checkpoint) -> str:
        """The last part heard, as the beginning of the next question."""
        question, meaning = list(self.draft.parts.items())[-1]
        return self.wording.part(question.value, meaning).capitalize() + "."

    def _climb(self, task: Climb, steps: list[Step]) -> Turn:
        self.draft = Draft()
        self._model.await_climb()  # type: ignore[attr-defined]
        caution = task.zone.climb_caution
        steps.append(Notice(kind="climb", data={"zone": task.zone.id}))
        steps += prompts.climb_steps(self.wording, task, caution)
        return self._turn(
            steps, self._listen(QuestionName.CLIMB, None, self._paused_timeout_s)
        )

    def _sum_up(self, steps: list[Step]) -> Turn:
        if not self.state.startswith("declaring"):
            self.draft = Draft()
            steps += prompts.summary_steps(self.wording, self.keeper.walk)
        self._model.ask_declaration()  # type: ignore[attr-defined]
        steps.append(prompts.declaration_step(self.wording, self.keeper.walk))
        return self._turn(steps, self._listen(QuestionName.YES_NO, None))

    def _end(self, steps: list[Step]) -> Turn:
        walk = self.keeper.walk
        if self.state != "over":
            self._model.end()  # type: ignore[attr-defined]
        if walk.declared is None:
            decision = walk.decision
            data = {
                "outcome": decision.outcome.value,
                "rules": [hit.rule_id for hit in decision.reasons],
            }
            steps.append(Notice(kind="decision", data=data))
            steps.append(Say(text=self.wording.outcome(decision.outcome)))
            steps.append(Say(text=self.wording.say("first")))
        return self._turn(steps, None)

    # ---- understanding ------------------------------------------------

    def _understood(
        self, best: Hypothesis, outcome: Outcome, heard: Heard, began_s: float
    ) -> Turn:
        if best.control:
            return self._controls.obey(best, outcome)
        name = self.state.split("_")[0]
        if name == "asking":
            return self._part(best, outcome, heard, began_s)
        if outcome is Outcome.CONFIRM and not self._is_no(best):
            return self._failed("nomatch", None)
        match name:
            case "confirming":
                return self._confirmed(best)
            case "declaring":
                return self._declared(best)
            case "climbing":
                return self._climbed()
            case "skipping":
                return self._skipped(Reason(best.meaning))
        self.keeper.commit(ev.WalkResumed())  # paused: the only phrase
        text = self.wording.say("carrying_on")
        return self.ask_again([Notice(kind="resumed"), Say(text=text)])

    def _is_no(self, best: Hypothesis) -> bool:
        """A doubtful no to a read-back is a no: that is the safe side."""
        return best.meaning == "no" and not self.state.startswith("declaring")

    def _part(
        self, best: Hypothesis, outcome: Outcome, heard: Heard, began_s: float
    ) -> Turn:
        walk = self.keeper.walk
        point = walk.checklist.checkpoint(self.draft.checkpoint_id or "")
        question = next_question(walk.checklist, point, self.draft.parts)
        if question is None:
            return self.go_on([])
        self.draft.add(
            question.name,
            best,
            heard,
            doubtful=outcome is Outcome.CONFIRM,
            prompt_began_s=began_s,
        )
        if next_question(walk.checklist, point, self.draft.parts) is not None:
            return self.go_on([Signal(tone=Tone.TAKEN)])
        answer = to_answer(walk.checklist, point, self.draft.parts)
        if problem_with(walk.checklist, point, answer) is not None:
            return self._does_not_fit(point)
        if self._needs_yes(point, answer):
            return self._read_back(
                PendingAnswer(checkpoint=point, answer=answer),
                [Signal(tone=Tone.TAKEN)],
            )
        return self._commit_answer(point, answer, confirmed_by="implicit")

    def _needs_yes(self, point: Checkpoint, answer: Answer) -> bool:
        """Findings, readings, absences and doubtful answers are read back."""
        if self.settings.confirm_always or self.draft.doubtful:
            return True
        if isinstance(answer, NotFitted) or point.reading is not None:
            return True
        return finding_kind(point, answer) is not None

    def _does_not_fit(self, point: Checkpoint) -> Turn:
        """A number that cannot be believed is not taken."""
        spec = point.reading
        value = self.draft.parts.get(first_question(point).name, "")
        self.draft.restart()
        if spec is None:
            return self._failed("nomatch", None)
        text = self.wording.say(
            "implausible",
            value=value,
            unit=self.wording.unit(point),
            low=spec.plausible_min,
            high=spec.plausible_max,
        )
        return self._failed("implausible", None, steps=[Say(text=text)])

    # ---- read-back ----------------------------------------------------

    def _read_back(self, pending: Pending, steps: list[Step]) -> Turn:
        self._pending = pending
        if self.state in {"paused", "noting"}:
            self._model.ask()  # type: ignore[attr-defined]
        self._model.read_back()  # type: ignore[attr-defined]
        match pending:
            case PendingAnswer():
                text = self.wording.say(
                    "confirm",
                    point=self.wording.point(pending.checkpoint),
                    answer=self.wording.answer(pending.checkpoint, pending.answer),
                )
                value = answer_data(pending.answer)
            case PendingControl():
                hypothesis = pending.hypothesis
                key = "confirm_stop" if hypothesis.meaning == "stop" else "confirm_part"
                text = self.wording.say(key, phrase=hypothesis.phrase)
                value = {"control": hypothesis.meaning}
        say = Say(
            text=text,
            kind=SayKind.READBACK,
            checkpoint_id=self.draft.checkpoint_id,
            value=value,
        )
        return self._turn([*steps, say], self._listen(QuestionName.YES_NO, None))

    def _confirmed(self, best: Hypothesis) -> Turn:
        pending, self._pending = self._pending, None
        if best.meaning == "yes":
            match pending:
                case PendingAnswer():
                    return self._commit_answer(
                        pending.checkpoint, pending.answer, confirmed_by="explicit"
                    )
                case PendingControl():
                    return self._controls.obey(pending.hypothesis, Outcome.ACCEPT, True)
        return self.refuse()

    def refuse(self) -> Turn:
        """The read-back was wrong: ask the point again."""
        pending_first = next(iter(self.draft.parts.values()), None)
        if pending_first is not None:
            self.draft.refused.add(pending_first)
        self.draft.restart()
        self._pending = None
        return self.go_on(
            [
                Signal(tone=Tone.NOT_UNDERSTOOD),
                Say(text=self.wording.say("not_taken")),
            ]
        )

    def _commit_answer(
        self, point: Checkpoint, answer: Answer, *, confirmed_by: str
    ) -> Turn:
        how = self.draft.how(
            point, answer, confirmed_by=confirmed_by, engine=self.settings.engine
        )
        self.keeper.commit(
            ev.AnswerConfirmed(checkpoint_id=point.id, answer=answer), how
        )
        data = answer_data(answer)
        steps: list[Step] = [
            Notice(
                kind="answer",
                data={
                    "checkpoint": point.id,
                    "value": data,
                    "confirmed": confirmed_by,
                    "too_fast": how.too_fast,
                },
            ),
            Signal(tone=Tone.TAKEN),
        ]
        if confirmed_by == "implicit":
            said = (
                self.wording.say("good_taken")
                if isinstance(answer, Good)
                else self.wording.say(
                    "taken", answer=self.wording.answer(point, answer)
                ).capitalize()
            )
            steps.append(
                Say(
                    text=said,
                    kind=SayKind.READBACK,
                    checkpoint_id=point.id,
                    value=data,
                )
            )
        walk = self.keeper.walk
        if walk.over and not isinstance(answer, Yes):
            reason = walk.stop_reason
            steps.append(Say(text=self.wording.say("stopped_by_check", reason=reason)))
        return self.go_on(steps)

    # ---- climbs, skips, declaration -----------------------------------

    def _climbed(self) -> Turn:
        task = self.keeper.walk.task
        if isinstance(task, Climb):
            self.keeper.commit(ev.ClimbDone(zone_id=task.zone.id))
        return self.go_on([Signal(tone=Tone.TAKEN)])

    def _skipped(self, reason: Reason) -> Turn:
        checkpoint_id = self.draft.checkpoint_id or ""
        self.keeper.commit(
            ev.CheckpointSkipped(checkpoint_id=checkpoint_id, reason=reason)
        )
        notice = Notice(
            kind="skipped", data={"checkpoint": checkpoint_id, "reason": reason.value}
        )
        return self.go_on([notice, Say(text=self.wording.say("skipped"))])

    def _declared(self, best: Hypothesis) -> Turn:
        accepted = best.meaning == "yes"
        if not accepted and self.state == "declaring_fresh":
            self._model.fail()  # type: ignore[attr-defined]
            text = self.wording.say("declaration_again")
            return self._turn(
                [Say(text=text, kind=SayKind.PROMPT)],
                self._listen(QuestionName.YES_NO, None),
            )
        self.keeper.commit(ev.Declared(accepted=accepted))
        key = "signed" if accepted else "unsigned"
        return self.go_on([Say(text=self.wording.say(key))])

    # ---- failures -----------------------------------------------------

    def _failed(
        self,
        kind: str,
        notice: Notice | None,
        heard: Heard | None = None,
        *,
        steps: list[Step] | None = None,
    ) -> Turn:
        """Escalate: short re-prompt, then the choices, then a pause."""
        said: list[Step] = [notice] if notice else []
        if kind == "nomatch":
            said.append(
                Notice(
                    kind="nomatch",
                    data={"too_long": bool(heard and heard.too_long)},
                )
            )
            said.append(Signal(tone=Tone.NOT_UNDERSTOOD))
        said += steps or []
        self.keeper.observe(kind, self.draft.checkpoint_id)
        if self.state == "paused":
            return self._turn(
                said, self._listen(QuestionName.PAUSED, None, self._paused_timeout_s)
            )
        self._model.fail()  # type: ignore[attr-defined]
        if self.state == "paused":
            text = self.wording.say("offer_pause")
            return self.pause([*said, Say(text=text)], "no_answer")
        said += self._loudness_hint(heard)
        if self.state.endswith("choices") and self.active is not None:
            said.append(Say(text=prompts.choices(self.wording, self.active)))
        elif kind == "nomatch":
            said.append(Say(text=self.wording.say("nomatch")))
        return self.replace_last(said)

    def _loudness_hint(self, heard: Heard | None) -> list[Step]:
        if heard is None or heard.snr_db >= _LOUD_SNR_DB or self._hinted_loud:
            return []
        self._hinted_loud = True
        self.keeper.observe("too_loud", self.draft.checkpoint_id, f"{heard.snr_db:.0f}")
        return [Say(text=self.wording.say("too_loud"))]

    def _weighed(self, hypotheses: tuple[Hypothesis, ...]) -> tuple[Hypothesis, ...]:
        """Trust a meaning less after the operator said no to it."""
        if not self.draft.refused or self.draft.parts:
            return hypotheses
        weighed = [
            replace(h, confidence=h.confidence * _REFUSED_TRUST)
            if h.meaning in self.draft.refused
            else h
            for h in hypotheses
        ]
        return tuple(sorted(weighed, key=lambda h: -h.confidence))

    # ---- small things -------------------------------------------------

    @property
    def _paused_timeout_s(self) -> float:
        return self.settings.paused_timeout_s

    def _listen_to(self, question: Question, timeout_s: float) -> Listen:
        active = active_set(question.name.value, self.language, question.meanings)
        return Listen(
            active=active,
            checkpoint_id=question.checkpoint_id,
            timeout_s=timeout_s,
        )

    def _listen(
        self,
        name: QuestionName,
        meanings: tuple[str, ...] | None,
        timeout_s: float | None = None,
    ) -> Listen:
        question = Question(
            name=name, checkpoint_id=self.draft.checkpoint_id, meanings=meanings
        )
        return self._listen_to(question, timeout_s or self.settings.timeout_s)

    def _turn(self, steps: list[Step], then: Listen | RecordNote | None) -> Turn:
        turn = Turn(steps=tuple(steps), then=then)
        if isinstance(then, Listen) and then.active.question != QuestionName.PAUSED:
            self._last_turn = turn
        return turn


def _with_first(turn: Turn, notice: Notice) -> Turn:
    return replace(turn, steps=(notice, *turn.steps))
