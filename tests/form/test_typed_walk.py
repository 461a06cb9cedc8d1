"""The typed walk, from its first page to the declaration."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any
from unicodedata import normalize

import pytest
from hypothesis import HealthCheck, example, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from voicecheck.clock import ManualClock
from voicecheck.errors import JournalError
from voicecheck.form.pages import Page, Pages
from voicecheck.form.typed_walk import TypedWalk
from voicecheck.form.waiting import Waiting
from voicecheck.record.canonical import sha256_of
from voicecheck.round import events as ev
from voicecheck.round.answers import (
    Answer,
    CouldNotCheck,
    Defect,
    Fault,
    Good,
    Leak,
    LeakClass,
    LevelSeen,
    NotFitted,
    ReadingTaken,
    Reason,
    Severity,
)
from voicecheck.round.checklist import Checklist
from voicecheck.round.probing import QuestionName, to_parts
from voicecheck.round.record import content
from voicecheck.round.walk import Phase
from voicecheck.store.session import WalkSession
from voicecheck.testing.filling import fill
from voicecheck.testing.memory_journal import MemoryJournal
from voicecheck.testing.small_checklist import (
    bad_answers,
    good_answers,
    small_checklist,
)
from voicecheck.testing.strategies import answers_to, checklists

LOOK_S = 5.0


class Desk:
    """A typed walk with a person who types, and a clock."""

    def __init__(
        self, checklist: Checklist | None = None, journal: MemoryJournal | None = None
    ) -> None:
        self.clock = ManualClock()
        self.journal = journal or MemoryJournal()
        self.session = WalkSession.start(
            self.journal,
            self.clock,
            checklist or small_checklist(),
            unit="L-12",
            mode="typed",
            folder=Path("unused"),
        )
        self.form = self._form()
        self.page = self.form.begin(self.clock.monotonic_s())

    def _form(self) -> TypedWalk:
        return TypedWalk(self.session, Pages(self.session.walk.checklist, "en"))

    def take_up(self) -> None:
        """Leave the program and come back."""
        self.session = WalkSession.resume(
            self.journal,
            self.clock,
            self.session.walk.checklist,
            unit="L-12",
            mode="typed",
            folder=Path("unused"),
        )
        self.form = self._form()
        self.page = self.form.begin(self.clock.monotonic_s())

    def type(self, *lines: str, after_s: float = LOOK_S) -> str:
        """Type lines, each after a while; return the last page as text."""
        for line in lines:
            self.clock.advance(after_s)
            self.page = self.form.typed(line + "\n", self.clock.monotonic_s())
        return self.text

    def answer(self, answers: Mapping[str, Answer], until: str = "") -> None:
        """Type the answers of one point after the other, climbs included."""
        walk = self.session.walk
        while self.form.waiting in {Waiting.ANSWER, Waiting.CLIMB}:
            if self.form.waiting is Waiting.CLIMB:
                self.type("")
                continue
            point = walk.checklist.checkpoint(self.form.draft.checkpoint_id or "")
            if point.id == until:
                return
            for question, meaning in to_parts(point, answers[point.id]).items():
                asked = self.page.entry.choices if self.page.entry else ()
                if question is QuestionName.FLUID and not any(
                    choice.meaning == meaning for choice in asked
                ):
                    continue  # only one fluid can leak there: it is not asked
                self.type(meaning)

    @property
    def text(self) -> str:
        """The page on the screen."""
        return "\n".join(self.page.lines).replace("\u00a0", " ")

    @property
    def answers(self) -> dict[str, Answer]:
        """What was confirmed."""
        return self.session.walk.answers

    def how(self, checkpoint_id: str) -> ev.How:
        """How the newest answer at a point came in."""
        for entry in reversed(self.journal.entries(self.session.walk_id)):
            if (
                isinstance(entry.event, ev.AnswerConfirmed)
                and entry.event.checkpoint_id == checkpoint_id
            ):
                assert entry.how is not None
                return entry.how
        raise KeyError(checkpoint_id)


def test_a_whole_walk_typed_and_signed() -> None:
    """Every point, both climbs, the summary with the decision, the declaration."""
    desk = Desk()
    desk.answer(bad_answers())

    assert desk.form.waiting is Waiting.DECLARATION
    assert "Findings: 5" in desk.text
    assert "DECISION: Out of service. Do not use the machine." in desk.text
    assert "Rule any fuel leak. [invented for tests]" in desk.text
    assert "manual of the machine" in desk.text
    assert "I looked at every point myself." in desk.text
    assert "Signed" in desk.type("yes")
    assert desk.session.walk.phase is Phase.SIGNED
    assert desk.answers == bad_answers()


def test_the_content_is_that_of_any_other_walk() -> None:
    """Typed line by line or filled in at once, the content is the same."""
    desk, other = Desk(), Desk()
    desk.answer(bad_answers())
    desk.type("yes")
    fill(other.session, bad_answers())

    typed, filled = content(desk.session.walk), content(other.session.walk)

    assert sha256_of(typed) == sha256_of(filled)


@given(st.data())
@hypothesis_settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
def test_any_answers_to_any_checklist_can_be_typed(data: st.DataObject) -> None:
    """Whatever the answers are, typing them records exactly them."""
    checklist = data.draw(checklists())
    answers = data.draw(answers_to(checklist))
    desk, other = Desk(checklist), Desk(checklist)

    desk.answer(answers)
    if not desk.session.walk.over:
        desk.type("yes")
    fill(other.session, answers)

    assert content(desk.session.walk) == content(other.session.walk)


def test_each_answer_is_said_back() -> None:
    """The line after an answer says what was taken, a reading in digits."""
    desk = Desk()

    assert "= 4527.3 h" in desk.type("4527.3")
    assert "= yes" in desk.type("1")


def test_a_finding_is_asked_in_parts() -> None:
    """Fault and severity follow a defect, with the part before said back."""
    desk = Desk()
    desk.answer(good_answers(), until="left_wheel")

    assert "Defect. What kind?" in desk.type("defect")
    assert "Loose. Minor, major or critical?" in desk.type("loose")
    assert "left_wheel" not in desk.answers
    assert "= defect, loose, major" in desk.type("2")
    assert desk.answers["left_wheel"] == Defect(
        fault=Fault.LOOSE, severity=Severity.MAJOR
    )
    assert desk.how("left_wheel").words == ("defect", "loose", "2")


def test_leak_classes_are_explained() -> None:
    """The classes stand with what they mean: wet, drops hang, drops fall."""
    desk = Desk()
    desk.answer(good_answers(), until="leaks_below")

    text = desk.type("leak")

    assert "[1] class one (wet, no drops)" in text
    assert "[3] class three (drops fall)" in text
    desk.type("3")
    assert desk.answers["leaks_below"] == Leak(fluid="fuel", leak_class=LeakClass.THREE)


def test_only_what_is_complete_is_kept() -> None:
    """Leaving in the middle of a finding leaves the point open."""
    desk = Desk()
    desk.answer(good_answers(), until="left_wheel")
    desk.type("defect", "loose", "quit")

    desk.take_up()

    assert "left_wheel" not in desk.answers
    assert desk.form.draft.checkpoint_id == "left_wheel"
    assert "Carrying on with L-12: 6 points left." in desk.text


@pytest.mark.parametrize("word", ["pause", "quit"])
def test_pause_leaves_and_can_be_taken_up(word: str) -> None:
    """The program is left, the walk waits, and goes on where it was."""
    desk = Desk()
    desk.type("100", "yes")

    assert "put aside" in desk.type(word)
    assert desk.page.entry is None
    assert desk.session.walk.paused
    desk.take_up()
    assert not desk.session.walk.paused
    assert "nobody near?" in desk.text


def test_input_that_ends_puts_the_walk_aside() -> None:
    """Nothing is lost when the keyboard goes away."""
    desk = Desk()
    desk.type("100")
    desk.form.put_aside("no_input")

    assert desk.form.typed("yes", 0.0).entry is None
    desk.take_up()
    assert desk.answers == {"hour_meter": ReadingTaken(value=100)}  # type: ignore[arg-type]


def test_a_climb_shows_its_caution_and_waits_for_enter() -> None:
    """No question is asked on the ladder; any other line changes nothing."""
    desk = Desk()
    desk.answer(good_answers(), until="leaks_below")
    desk.type("good")

    assert "Press Enter when both feet are down." in desk.text
    assert "I wait" in desk.type("good")
    assert "engine oil?" not in desk.text
    assert "engine oil?" in desk.type("")


def test_back_takes_the_last_answer_away() -> None:
    """The point is asked again; the answer counts as withdrawn."""
    desk = Desk()
    desk.type("100", "yes")

    text = desk.type("back")

    assert "Taken back: parked." in text
    assert "parked?" in text
    assert list(desk.answers) == ["hour_meter"]


def test_back_in_the_middle_of_a_finding_forgets_its_parts() -> None:
    """Nothing was recorded, so nothing is withdrawn."""
    desk = Desk()
    desk.answer(good_answers(), until="left_wheel")
    before = dict(desk.answers)

    text = desk.type("defect", "back")

    assert "Not taken." in text
    assert "left wheel?" in text
    assert desk.answers == before
    desk.type("good")
    assert desk.answers["left_wheel"] == Good()


def test_back_at_the_very_beginning_says_so() -> None:
    """There is nothing to take back, and the question stays."""
    desk = Desk()

    assert "nothing to take back" in desk.type("back")
    desk.type("100")
    assert "hour_meter" in desk.answers


def test_a_skipped_point_comes_back_at_the_end() -> None:
    """With its reason; a second time it must be answered."""
    desk = Desk()
    desk.answer(good_answers(), until="left_wheel")

    assert "Why?" in desk.type("skip")
    assert "It comes back at the end" in desk.type("too dark")
    desk.answer(good_answers(), until="left_wheel")
    assert "back to what was skipped" in desk.text
    assert "skipped before" in desk.type("skip")
    desk.type("cannot check", "too dark", "yes")
    assert desk.answers["left_wheel"] == CouldNotCheck(reason=Reason.TOO_DARK)
    assert desk.session.walk.phase is Phase.SIGNED


def test_a_start_check_cannot_be_skipped() -> None:
    """It is answered yes or no."""
    desk = Desk()
    desk.type("100")

    assert "cannot be skipped" in desk.type("skip")
    assert "parked?" in desk.type("repeat")


def test_a_start_check_answered_no_ends_the_walk() -> None:
    """The reason stands on the screen, and nothing more is asked."""
    desk = Desk()

    assert "Stop. Park it first." in desk.type("100", "no")
    assert desk.page.entry is None
    assert desk.session.walk.phase is Phase.STOPPED


def test_a_note_is_kept_with_its_point() -> None:
    """As typed; the question stays open."""
    desk = Desk()
    desk.type("100")

    assert "Note kept." in desk.type("note Chock is split")
    [note] = desk.session.walk.notes
    assert (note.checkpoint_id, note.text) == ("parked", "Chock is split")
    assert "Type the note behind the word" in desk.type("note")
    assert len(desk.session.walk.notes) == 1


def test_help_explains_the_point_and_what_can_be_typed() -> None:
    """What to look at, what is wrong, why, the choices and the commands."""
    desk = Desk()
    text = desk.type("100", "help")

    for part in ("Look at: Look at the parked.", "Wrong is:", "Why:", "[1] yes"):
        assert part in text
    assert "pause" in text


def test_how_many_are_left() -> None:
    """The count of open points."""
    assert "9 points left." in Desk().type("100", "left")


def test_repeat_shows_the_question_without_what_went_before() -> None:
    """Not the answer before it."""
    desk = Desk()
    desk.type("100")

    text = desk.type("repeat")

    assert "parked?" in text
    assert "4527" not in text
    assert "= " not in text


def test_stop_asks_first_and_then_ends_unfinished() -> None:
    """No keeps the walk; yes ends it without release."""
    desk = Desk()

    assert "unfinished?" in desk.type("100", "stop")
    assert "parked?" in desk.type("no")
    assert "not released" in desk.type("stop", "yes")
    assert desk.session.walk.phase is Phase.STOPPED
    assert desk.session.walk.stop_reason == "operator"


def test_an_unsigned_walk_needs_two_noes() -> None:
    """One may be a slip."""
    desk = Desk()
    desk.answer(good_answers())

    assert "The machine may work." in desk.text
    assert "Type no again" in desk.type("no")
    assert "Not signed" in desk.type("no")
    assert desk.session.walk.phase is Phase.DECLINED


def test_no_and_then_yes_signs() -> None:
    """The slip can be mended."""
    desk = Desk()
    desk.answer(good_answers())
    desk.type("no", "yes")

    assert desk.session.walk.phase is Phase.SIGNED


def test_back_at_the_declaration_opens_the_last_point() -> None:
    """A mistake that the summary shows can be mended before signing."""
    desk = Desk()
    desk.answer(good_answers())

    assert "camera?" in desk.type("back")
    desk.type("not fitted")
    assert desk.answers["camera"] == NotFitted()
    assert desk.form.waiting is Waiting.DECLARATION


def test_a_number_that_cannot_be_is_refused() -> None:
    """The range is named, nothing is recorded, the question stays."""
    desk = Desk()
    desk.answer(good_answers(), until="left_tyre")

    assert "4500 kPa cannot be. It must be from 0 to 1000." in desk.type("4500")
    assert "left_tyre" not in desk.answers
    desk.type("450")
    assert "left_tyre" in desk.answers
    assert desk.how("left_tyre").tries == 2


def test_nonsense_is_counted_and_never_recorded() -> None:
    """Each line that is no answer is an observation, and a try."""
    desk = Desk()
    desk.answer(good_answers(), until="left_wheel")
    before = dict(desk.answers)

    for line in ("fine", "", "okay then", "9"):
        assert "othing is recorded" in desk.type(line)

    assert desk.answers == before
    desk.type("good")
    kinds = [
        entry.event.kind
        for entry in desk.journal.entries(desk.session.walk_id)
        if isinstance(entry.event, ev.Observed)
    ]
    assert kinds == ["nomatch"] * 3
    assert desk.how("left_wheel").tries == 5


@given(st.lists(st.text(max_size=8), max_size=30))
@example(lines=["¹"])
@hypothesis_settings(max_examples=40, deadline=None)
def test_no_order_of_nonsense_yields_good(lines: list[str]) -> None:
    """Lines that name no answer leave no answer behind.

    A full-width or raised "1", as an input method may give, is a 1 (NFKC).
    """
    desk = Desk()
    desk.answer(good_answers(), until="left_wheel")
    meaningful = {"1", "2", "3", "4", "g", "d", "l", "c"}
    for line in lines:
        if normalize("NFKC", line).strip().casefold() not in meaningful:
            desk.type(line)

    assert desk.answers.get("left_wheel") is None


def test_how_an_answer_came_in() -> None:
    """Typed, confirmed by typing it, after the time that was taken to look."""
    desk = Desk()
    desk.answer(good_answers(), until="left_wheel")
    desk.type("good", after_s=3.0)

    assert desk.how("left_wheel") == ev.How(
        mode="typed",
        confirmed_by="typed",
        words=("good",),
        tries=1,
        after_prompt_s=3.0,
        too_fast=False,
    )


def test_a_good_faster_than_a_look_is_kept_and_flagged() -> None:
    """It counts from the first time the point was shown, and the page says so."""
    desk = Desk()
    desk.answer(good_answers(), until="left_wheel")

    text = desk.type("good", after_s=0.4)

    assert desk.answers["left_wheel"] == Good()
    assert desk.how("left_wheel").too_fast
    assert "faster than a person can look" in text


def test_help_gives_no_new_time_to_look() -> None:
    """The time counts from the first showing, not from the last line."""
    desk = Desk()
    desk.answer(good_answers(), until="left_wheel")
    desk.type("help", after_s=3.0)
    desk.type("good", after_s=0.1)

    assert desk.how("left_wheel").after_prompt_s == pytest.approx(3.1)
    assert not desk.how("left_wheel").too_fast


class FullDisk(MemoryJournal):
    """A journal that can no longer be written."""

    full = False

    def append(self, *arguments: Any, **named: Any) -> Any:
        """Refuse when the disk is full."""
        if self.full:
            raise JournalError("the disk is full")
        return super().append(*arguments, **named)


def test_an_answer_that_cannot_be_kept_is_not_shown_as_taken() -> None:
    """The error reaches the caller, and the walk stands where it stood."""
    journal = FullDisk()
    desk = Desk(journal=journal)
    desk.type("100")
    journal.full = True

    with pytest.raises(JournalError):
        desk.type("yes")

    assert list(desk.answers) == ["hour_meter"]
    journal.full = False
    desk.take_up()
    assert "parked?" in desk.text


def test_a_page_without_entry_ends_the_form() -> None:
    """A walk that was signed before the program died asks nothing more."""
    desk = Desk()
    desk.answer(good_answers())
    desk.type("yes")

    page = desk._form().begin(0.0)

    assert isinstance(page, Page)
    assert page.entry is None


def test_a_leak_where_there_are_no_fluids_is_not_taken() -> None:
    """The point is asked again, and nothing is recorded."""
    desk = Desk(replace(small_checklist(), fluids=(), sha256="0" * 64))
    desk.answer(good_answers(), until="left_wheel")

    text = desk.type("leak", "1")

    assert "Not taken." in text
    assert "left wheel?" in text
    assert "left_wheel" not in desk.answers


def test_level_words_come_from_the_grammar() -> None:
    """Between the marks is one of the levels."""
    desk = Desk()
    desk.answer(good_answers(), until="engine_oil")
    desk.type("low")

    assert isinstance(desk.answers["engine_oil"], LevelSeen)
