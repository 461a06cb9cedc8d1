"""The typed walk, line by line.

`TypedWalk` is told what was typed and answers with the next page. It drives
the same walk with the same questions as the spoken dialogue; what it commits
differs only in how the answers came in.
"""

from __future__ import annotations

from voicecheck.dialogue.ports import Keeper
from voicecheck.form.commands import Commands
from voicecheck.form.draft import TypedDraft
from voicecheck.form.entry import Chosen, Command, Unclear, parse
from voicecheck.form.pages import Page, Pages
from voicecheck.form.waiting import Waiting
from voicecheck.round import events as ev
from voicecheck.round.answers import Reason, Yes
from voicecheck.round.checklist import Checkpoint
from voicecheck.round.probing import (
    Question,
    QuestionName,
    next_question,
    problem_with,
    to_answer,
)
from voicecheck.round.walk import AskCheckpoint, Climb, Over, SumUp


class TypedWalk:
    """Ask one walk at a keyboard.

    Args:
        keeper: keeps what is confirmed; holds the walk.
        pages: writes what is shown.
        mode: typed at a keyboard, or browser; kept beside each answer.
    """

    def __init__(self, keeper: Keeper, pages: Pages, *, mode: str = "typed") -> None:
        self.keeper = keeper
        self.pages = pages
        self.mode = mode
        self.draft = TypedDraft()
        self.waiting = Waiting.NOTHING
        self.page = Page(lines=(), entry=None)
        """The page of the question at hand, without what led to it."""
        self._zone_id: str | None = None
        self._refused_once = False
        self._commands = Commands(self)

    # ---- entry points -------------------------------------------------

    def begin(self, at_s: float) -> Page:
        """Open the walk, or take it up where it was left.

        Args:
            at_s: now, by a clock that does not go back.
        """
        walk = self.keeper.walk
        if walk.paused:
            self.keeper.commit(ev.WalkResumed())
        return self.go_on(self.pages.opening(walk), at_s)

    def typed(self, text: str, at_s: float) -> Page:
        """Take in one line and return the next page.

        Args:
            text: as typed.
            at_s: when, by the clock of `begin`.

        Raises:
            JournalError: an answer could not be kept; the walk can be resumed.
        """
        entry = self.page.entry
        if entry is None:
            return self.page
        if self.waiting is Waiting.ANSWER:
            self.draft.tries += 1
        if self.waiting is Waiting.CLIMB and not text.strip():
            return self._climbed(at_s)
        match parse(text, entry):
            case Chosen() as chosen:
                return self._chosen(chosen, at_s)
            case Command() as command:
                return self._commands.obey(command, at_s)
            case Unclear() as unclear:
                return self._unclear(unclear)

    def chosen(self, meaning: str, at_s: float) -> Page:
        """Take in an answer that was chosen by its meaning, without typing.

        A meaning that is none of the answers at hand changes nothing.

        Args:
            meaning: of one of the choices of the page's entry.
            at_s: when, by the clock of `begin`.

        Raises:
            JournalError: an answer could not be kept; the walk can be resumed.
        """
        offered = self.page.entry.choices if self.page.entry else ()
        for choice in offered:
            if choice.meaning == meaning:
                if self.waiting is Waiting.ANSWER:
                    self.draft.tries += 1
                return self._chosen(Chosen(meaning=meaning, text=choice.text), at_s)
        return self._unclear(Unclear(key="not_understood", values={"text": meaning}))

    def put_aside(self, cause: str) -> None:
        """Keep that the walk was left here; it can be taken up again.

        Raises:
            JournalError: it could not be kept; what was confirmed before is.
        """
        walk = self.keeper.walk
        if not walk.over and not walk.paused:
            self.keeper.commit(ev.WalkPaused(cause=cause))
        self._leave([])

    # ---- what comes next ----------------------------------------------

    def go_on(self, before: list[str], at_s: float) -> Page:
        """Turn to whatever the walk wants next, after some lines."""
        walk = self.keeper.walk
        match walk.task:
            case AskCheckpoint() as task:
                return self._ask(task, before, at_s)
            case Climb() as task:
                self.draft = TypedDraft()
                lines = ["", task.zone.climb_caution, self.pages.say("climb")]
                return self.wait(
                    Waiting.CLIMB,
                    Question(name=QuestionName.CLIMB),
                    before,
                    [line for line in lines if line],
                )
            case SumUp():
                self.draft = TypedDraft()
                self._refused_once = False
                lines = [*self.pages.summary(walk), self.pages.say("sign")]
                return self._ask_declaration(before, lines)
            case Over():
                return self._leave(before)

    def again(self, lines: list[str]) -> Page:
        """Show something and wait for the same as before."""
        return Page(lines=tuple(lines), entry=self.page.entry)

    def repeat(self) -> Page:
        """Show the question at hand again."""
        return self.page

    def wait(
        self,
        waiting: Waiting,
        question: Question,
        before: list[str],
        lines: list[str],
        point: Checkpoint | None = None,
    ) -> Page:
        """Ask something; `before` is not shown again when it is repeated."""
        entry = self.pages.entry(question, point)
        if waiting is not Waiting.CLIMB:
            lines = [*lines, *self.pages.choices(entry)]
        self.waiting = waiting
        self.page = Page(lines=tuple(lines), entry=entry)
        return Page(lines=(*before, *lines), entry=entry)

    def _leave(self, lines: list[str]) -> Page:
        self.waiting = Waiting.NOTHING
        self.page = Page(lines=tuple(lines), entry=None)
        return self.page

    def _ask(self, task: AskCheckpoint, before: list[str], at_s: float) -> Page:
        walk, point = self.keeper.walk, task.checkpoint
        if self._zone_id != point.zone_id:
            self._zone_id = point.zone_id
            before = [*before, *self.pages.zone(point, returning=task.returning)]
        if self.draft.checkpoint_id != point.id:
            self.draft = TypedDraft(checkpoint_id=point.id, shown_s=at_s)
        question = next_question(walk.checklist, point, self.draft.parts)
        assert question is not None, "a complete answer is committed, never asked"
        lines = (
            self.pages.follow_up(question, self.draft.parts)
            if self.draft.parts
            else self.pages.point(walk, point)
        )
        return self.wait(Waiting.ANSWER, question, before, lines, point)

    def _ask_declaration(self, before: list[str], lines: list[str]) -> Page:
        question = Question(name=QuestionName.YES_NO)
        return self.wait(Waiting.DECLARATION, question, before, lines)

    # ---- answers ------------------------------------------------------

    def _chosen(self, chosen: Chosen, at_s: float) -> Page:
        match self.waiting:
            case Waiting.ANSWER:
                return self._part(chosen, at_s)
            case Waiting.SKIP_REASON:
                return self._skipped(Reason(chosen.meaning), at_s)
            case Waiting.CLIMB:
                return self._climbed(at_s)
            case Waiting.STOP:
                return self._stopped(at_s, agreed=chosen.meaning == "yes")
            case _:
                return self._declared(at_s, accepted=chosen.meaning == "yes")

    def _part(self, chosen: Chosen, at_s: float) -> Page:
        walk = self.keeper.walk
        point = walk.checklist.checkpoint(self.draft.checkpoint_id or "")
        question = next_question(walk.checklist, point, self.draft.parts)
        assert question is not None, "an answer was waited for"
        self.draft.add(question.name, chosen.meaning, chosen.text, at_s)
        if next_question(walk.checklist, point, self.draft.parts) is not None:
            return self.go_on([], at_s)
        try:
            answer = to_answer(walk.checklist, point, self.draft.parts)
        except ValueError:  # a leak where the checklist has no fluids
            self.draft.restart()
            return self.go_on([self.pages.wording.say("not_taken")], at_s)
        if problem_with(walk.checklist, point, answer) is not None:
            return self._does_not_fit(point, chosen.text)
        how = self.draft.how(point, answer, self.mode)
        self.keeper.commit(
            ev.AnswerConfirmed(checkpoint_id=point.id, answer=answer), how
        )
        self.draft = TypedDraft()
        lines = [self.pages.taken(point, answer, too_fast=how.too_fast)]
        if walk.over and not isinstance(answer, Yes):
            stop = self.pages.wording.say("stopped_by_check", reason=walk.stop_reason)
            lines += ["", stop]
        return self.go_on(lines, at_s)

    def _does_not_fit(self, point: Checkpoint, text: str) -> Page:
        """A number that cannot be believed is not taken."""
        spec = point.reading
        assert spec is not None, "only a reading can fail to fit its question"
        self.draft.restart()
        self.keeper.observe("implausible", point.id)
        line = self.pages.say(
            "implausible",
            value=text,
            unit=spec.unit,
            low=spec.plausible_min,
            high=spec.plausible_max,
        )
        return self.again([line])

    def _skipped(self, reason: Reason, at_s: float) -> Page:
        checkpoint_id = self.draft.checkpoint_id or ""
        self.keeper.commit(
            ev.CheckpointSkipped(checkpoint_id=checkpoint_id, reason=reason)
        )
        self.draft = TypedDraft()
        return self.go_on([self.pages.wording.say("skipped")], at_s)

    def _climbed(self, at_s: float) -> Page:
        task = self.keeper.walk.task
        assert isinstance(task, Climb), "a climb was waited for"
        self.keeper.commit(ev.ClimbDone(zone_id=task.zone.id))
        return self.go_on([], at_s)

    def _declared(self, at_s: float, *, accepted: bool) -> Page:
        if not accepted and not self._refused_once:
            self._refused_once = True
            return self._ask_declaration([], [self.pages.say("unsigned_again")])
        self.keeper.commit(ev.Declared(accepted=accepted))
        key = "signed" if accepted else "unsigned"
        return self.go_on([self.pages.wording.say(key)], at_s)

    def _stopped(self, at_s: float, *, agreed: bool) -> Page:
        if not agreed:
            return self.go_on([self.pages.say("stop_kept")], at_s)
        self.keeper.commit(ev.WalkStopped(reason="operator"))
        return self.go_on([self.pages.wording.say("stopped")], at_s)

    def _unclear(self, unclear: Unclear) -> Page:
        if self.waiting is Waiting.CLIMB:
            return self.again([self.pages.say("climb_waiting")])
        if unclear.key != "nothing_typed":
            self.keeper.observe("nomatch", self.draft.checkpoint_id)
        entry = self.page.entry
        shown = self.pages.choices(entry) if entry else []
        return self.again([self.pages.say(unclear.key, **unclear.values), *shown])
