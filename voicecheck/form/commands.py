"""Words that steer the typed walk, understood at any time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from voicecheck.form.entry import Command
from voicecheck.form.pages import Page
from voicecheck.form.waiting import Waiting
from voicecheck.round import events as ev
from voicecheck.round.checklist import CheckpointKind
from voicecheck.round.probing import Question, QuestionName

if TYPE_CHECKING:
    from voicecheck.form.typed_walk import TypedWalk


class Commands:
    """Obey commands for one typed walk."""

    def __init__(self, form: TypedWalk) -> None:
        self._form = form

    def obey(self, command: Command, at_s: float) -> Page:
        """Do what a command asks."""
        form = self._form
        wording = form.pages.wording
        match command.meaning:
            case "repeat":
                return form.repeat()
            case "remaining":
                left = form.keeper.walk.remaining
                return form.again([wording.say("remaining", left=left)])
            case "help":
                return form.again(self._help())
            case "note":
                return self._note(command.text)
            case "back":
                return self._back(at_s)
            case "skip":
                return self._skip()
            case "pause":
                form.put_aside("operator")
                return Page(lines=(form.pages.say("put_aside"),), entry=None)
            case _:
                return self._stop()

    def _help(self) -> list[str]:
        form = self._form
        lines: list[str] = []
        if form.draft.checkpoint_id is not None:
            walk = form.keeper.walk
            point = walk.checklist.checkpoint(form.draft.checkpoint_id)
            lines += form.pages.explained(point)
        lines += form.pages.how()
        if form.waiting is Waiting.CLIMB:
            return [*lines, form.pages.say("climb")]
        entry = form.page.entry
        return lines + (form.pages.choices(entry) if entry else [])

    def _note(self, text: str) -> Page:
        form = self._form
        if not text:
            return form.again([form.pages.say("note_how")])
        event = ev.NoteKept(checkpoint_id=form.draft.checkpoint_id, text=text)
        form.keeper.commit(event)
        return form.again([form.pages.say("note_kept")])

    def _back(self, at_s: float) -> Page:
        """Take back the question, the part, the skip or the answer that came last."""
        form = self._form
        wording, walk = form.pages.wording, form.keeper.walk
        if form.waiting in {Waiting.SKIP_REASON, Waiting.STOP} or form.draft.parts:
            form.draft.restart()
            return form.go_on([wording.say("not_taken")], at_s)
        skipped = walk.last_skipped
        last = skipped or walk.last_answered
        if last is None:
            return form.again([wording.say("nothing_to_take_back")])
        withdrawn = ev.SkipWithdrawn if skipped else ev.AnswerWithdrawn
        form.keeper.commit(withdrawn(checkpoint_id=last))
        point = walk.checklist.checkpoint(last)
        text = wording.say("taken_back", point=wording.point(point))
        return form.go_on([text.rstrip(": ") + "."], at_s)

    def _skip(self) -> Page:
        form = self._form
        wording, walk = form.pages.wording, form.keeper.walk
        point_id = form.draft.checkpoint_id
        if point_id is None or form.waiting is not Waiting.ANSWER:
            return form.again([wording.say("cannot_skip")])
        if walk.checklist.checkpoint(point_id).kind is CheckpointKind.START:
            return form.again([wording.say("cannot_skip")])
        if point_id in walk.skipped:
            return form.again([wording.say("cannot_skip_again")])
        form.draft.restart()
        question = Question(name=QuestionName.REASON, checkpoint_id=point_id)
        lines = [form.pages.say("skip_reason")]
        return form.wait(Waiting.SKIP_REASON, question, [], lines)

    def _stop(self) -> Page:
        """Ask first: an ended walk cannot be taken up again."""
        question = Question(name=QuestionName.YES_NO)
        lines = [self._form.pages.say("confirm_stop")]
        return self._form.wait(Waiting.STOP, question, [], lines)
