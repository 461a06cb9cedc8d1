"""The walk as a state machine: what fits, what does not, and in which order."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
)

from voicecheck.errors import WalkError
from voicecheck.round import answers as an
from voicecheck.round import events as ev
from voicecheck.round.checklist import Checklist, CheckpointKind, Outcome, Place
from voicecheck.round.phases import TRANSITIONS, PhaseMachine
from voicecheck.round.walk import FINAL, AskCheckpoint, Climb, Over, Phase, SumUp, Walk
from voicecheck.testing.small_checklist import good_answers, small_checklist
from voicecheck.testing.strategies import answer_at, checklists

CHECKLIST = small_checklist()
GOOD = good_answers()
REASON = an.Reason.TOO_DARK


def started(checklist: Checklist = CHECKLIST) -> ev.WalkStarted:
    """Return the event that begins a walk of a checklist."""
    return ev.WalkStarted(
        unit="L-12",
        operator="J.Doe",
        checklist=checklist.name,
        checklist_version=checklist.version,
        checklist_sha256=checklist.sha256,
    )


def begun(checklist: Checklist = CHECKLIST) -> Walk:
    """Return a walk that has begun."""
    return Walk.replay(checklist, [started(checklist)])


def answered(checkpoint_id: str, answer: an.Answer | None = None) -> ev.AnswerConfirmed:
    """Return the event of an answer, the good one unless given."""
    return ev.AnswerConfirmed(
        checkpoint_id=checkpoint_id, answer=answer or GOOD[checkpoint_id]
    )


def next_event(walk: Walk, **but: an.Answer) -> ev.WalkEvent:
    """Return what the walk waits for, with good answers except those given."""
    match walk.task:
        case AskCheckpoint(checkpoint=point):
            return answered(point.id, but.get(point.id))
        case Climb(zone=zone):
            return ev.ClimbDone(zone_id=zone.id)
        case _:
            return ev.Declared(accepted=True)


def walked_to(point_id: str, **but: an.Answer) -> Walk:
    """Return a walk that asks this point now."""
    walk = begun()
    while asked(walk) != point_id:
        walk.apply(next_event(walk, **but))
    return walk


def finished() -> Walk:
    """Return a walk that only lacks the declaration."""
    walk = begun()
    while not isinstance(walk.task, SumUp):
        walk.apply(next_event(walk))
    return walk


def asked(walk: Walk) -> str | None:
    """Return the id of the point that is asked now."""
    task = walk.task
    return task.checkpoint.id if isinstance(task, AskCheckpoint) else None


def seen(walk: Walk) -> dict[str, Any]:
    """Return all that can be seen of a walk."""
    return {
        "started": walk.started,
        "answers": list(walk.answers.items()),
        "skipped": dict(walk.skipped),
        "place": walk.place,
        "paused": walk.paused,
        "stop_reason": walk.stop_reason,
        "declared": walk.declared,
        "notes": list(walk.notes),
        "phase": walk.phase,
        "task": walk.task,
        "remaining": walk.remaining,
    }


def refused(walk: Walk, event: ev.WalkEvent, says: str) -> None:
    """Assert that an event is refused with these words and changes nothing."""
    before = seen(walk)

    with pytest.raises(WalkError, match=says):
        walk.apply(event)

    assert seen(walk) == before


def test_points_are_asked_in_order_with_climbs_between() -> None:
    """Ground first, then each change of place is a climb."""
    walk = begun()
    way = []
    while not walk.over:
        match walk.task:
            case AskCheckpoint(checkpoint=point):
                way.append(point.id)
            case Climb(zone=zone, origin=origin):
                way.append(f"{origin.value}>{zone.place.value}")
        walk.apply(next_event(walk))

    assert way == [
        "hour_meter",
        "parked",
        "nobody_near",
        "left_tyre",
        "left_wheel",
        "leaks_below",
        "ground>platform",
        "engine_oil",
        "belts",
        "platform>cab",
        "horn",
        "camera",
    ]
    assert walk.phase is Phase.SIGNED
    assert walk.decision.outcome is Outcome.MAY_WORK
    assert isinstance(walk.task, Over)


def test_a_skipped_point_comes_back_at_the_end_and_only_once() -> None:
    """After all others, marked as returning; it cannot be skipped again."""
    walk = walked_to("left_wheel")
    walk.apply(ev.CheckpointSkipped(checkpoint_id="left_wheel", reason=REASON))
    way = []
    while not isinstance(walk.task, SumUp):
        task = walk.task
        if isinstance(task, AskCheckpoint) and task.returning:
            way.append(task.checkpoint.id)
            skip = ev.CheckpointSkipped(checkpoint_id="left_wheel", reason=REASON)
            refused(walk, skip, "skipped before")
        walk.apply(next_event(walk))

    assert way == ["left_wheel"]
    assert walk.place is Place.GROUND  # it was climbed down to


def test_a_skipped_point_cannot_be_skipped_after_it_was_answered_and_taken_back() -> (
    None
):
    """Taking an answer back does not give the skip back."""
    walk = walked_to("left_wheel")
    walk.apply(ev.CheckpointSkipped(checkpoint_id="left_wheel", reason=REASON))
    while not isinstance(walk.task, SumUp):
        walk.apply(next_event(walk))
    walk.apply(ev.AnswerWithdrawn(checkpoint_id="left_wheel"))

    skip = ev.CheckpointSkipped(checkpoint_id="left_wheel", reason=REASON)
    refused(walk, skip, "skipped before")
    assert walk.task == AskCheckpoint(
        checkpoint=CHECKLIST.checkpoint("left_wheel"), returning=True
    )


def test_several_skipped_points_come_back_in_walking_order() -> None:
    """Whatever was skipped first."""
    walk = begun()
    way = []
    while not isinstance(walk.task, SumUp):
        point_id = asked(walk)
        if point_id in ("leaks_below", "hour_meter") and point_id not in walk.skipped:
            walk.apply(ev.CheckpointSkipped(checkpoint_id=point_id, reason=REASON))
            continue
        way.append(point_id)
        walk.apply(next_event(walk))

    assert [p for p in way if p][-2:] == ["hour_meter", "leaks_below"]


def test_an_answer_taken_back_is_asked_again() -> None:
    """The newest answer is the one to take back; then the one before it."""
    walk = walked_to("left_wheel")
    assert walk.last_answered == "left_tyre"

    walk.apply(ev.AnswerWithdrawn(checkpoint_id="left_tyre"))

    assert asked(walk) == "left_tyre"
    assert walk.last_answered == "nobody_near"


def test_taking_back_across_a_climb_climbs_back() -> None:
    """The point is asked where it can be seen."""
    walk = walked_to("engine_oil")

    walk.apply(ev.AnswerWithdrawn(checkpoint_id="leaks_below"))

    assert walk.task == Climb(zone=CHECKLIST.zone("left_side"), origin=Place.PLATFORM)


def test_taking_back_from_the_summary_asks_again() -> None:
    """The declaration is put off until the answer is there again."""
    walk = finished()

    walk.apply(ev.AnswerWithdrawn(checkpoint_id="camera"))

    assert walk.phase is Phase.ASKING
    refused(walk, ev.Declared(accepted=True), "1 points are still open")


def test_nothing_is_taken_back_before_anything_was_answered() -> None:
    """There is no last answer."""
    assert begun().last_answered is None


@pytest.mark.parametrize("point_id", ["parked", "nobody_near"])
def test_no_to_a_start_check_stops_with_its_reason(point_id: str) -> None:
    """The walk is over, the machine out of service, the reason the point's own."""
    walk = walked_to(point_id)

    walk.apply(answered(point_id, an.No()))

    assert walk.phase is Phase.STOPPED
    assert walk.stop_reason == CHECKLIST.checkpoint(point_id).stop_text
    assert walk.decision.outcome is Outcome.OUT_OF_SERVICE
    refused(walk, answered("left_tyre"), "has ended")


def test_a_start_check_without_a_stop_text_stops_with_its_prompt() -> None:
    """Some reason is always given."""
    zones = list(CHECKLIST.zones)
    points = tuple(replace(p, stop_text="") for p in zones[0].checkpoints)
    zones[0] = replace(zones[0], checkpoints=points)
    walk = Walk(replace(CHECKLIST, zones=tuple(zones)))
    walk.apply(started())
    walk.apply(answered("hour_meter"))

    walk.apply(answered("parked", an.No()))

    assert walk.stop_reason == "parked?"


@pytest.mark.parametrize(
    ("event", "phase"),
    [
        (ev.Declared(accepted=True), Phase.SIGNED),
        (ev.Declared(accepted=False), Phase.DECLINED),
        (ev.WalkStopped(reason="operator"), Phase.STOPPED),
    ],
)
def test_ends_of_a_walk(event: ev.WalkEvent, phase: Phase) -> None:
    """Signed, declined or stopped; only a signed walk releases the machine."""
    walk = finished()
    assert walk.proposed_decision.outcome is Outcome.MAY_WORK
    assert walk.decision.outcome is Outcome.OUT_OF_SERVICE

    walk.apply(event)

    assert walk.phase is phase
    assert walk.over
    released = walk.decision.outcome is Outcome.MAY_WORK
    assert released is (phase is Phase.SIGNED)


def test_a_pause_takes_nothing_but_notes_going_on_and_the_end() -> None:
    """Everything else waits until the walk is taken up again."""
    walk = walked_to("left_tyre")
    walk.apply(ev.WalkPaused(cause="device"))

    refused(walk, answered("left_tyre"), "paused: carry on first")
    refused(walk, ev.AnswerWithdrawn(checkpoint_id="parked"), "paused")
    refused(walk, ev.WalkPaused(), "paused")
    walk.apply(ev.NoteKept(checkpoint_id="left_tyre", text="low?"))
    walk.apply(ev.WalkResumed())
    walk.apply(answered("left_tyre"))

    assert asked(walk) == "left_wheel"


def test_a_paused_walk_can_be_stopped() -> None:
    """Without going on first."""
    walk = begun()
    walk.apply(ev.WalkPaused())

    walk.apply(ev.WalkStopped(reason="shift ended"))

    assert walk.phase is Phase.STOPPED
    assert walk.stop_reason == "shift ended"


@pytest.mark.parametrize(
    ("event", "says"),
    [
        (started(), "begun already"),
        (answered("horn"), "horn is not the point that is asked now"),
        (answered("nowhere", an.Good()), "nowhere is not the point"),
        (answered("left_tyre", an.Good()), "does not take Good"),
        (answered("left_tyre", an.ReadingTaken(value=Decimal(9999))), "between"),
        (ev.AnswerWithdrawn(checkpoint_id="left_tyre"), "no answer to take back"),
        (ev.CheckpointSkipped(checkpoint_id="horn", reason=REASON), "not the point"),
        (ev.ClimbDone(zone_id="engine"), "no climb to engine"),
        (ev.WalkResumed(), "is not paused"),
        (ev.Declared(accepted=True), "7 points are still open"),
        (ev.NoteKept(checkpoint_id="nowhere"), "no checkpoint nowhere"),
    ],
    ids=lambda value: type(value).__name__ if not isinstance(value, str) else None,
)
def test_what_does_not_fit_is_refused(event: ev.WalkEvent, says: str) -> None:
    """While the left tyre is asked."""
    refused(walked_to("left_tyre"), event, says)


def test_a_start_check_cannot_be_skipped() -> None:
    """It is answered yes or no before anything else."""
    skip = ev.CheckpointSkipped(checkpoint_id="parked", reason=REASON)

    refused(walked_to("parked"), skip, "cannot be skipped")


def test_nothing_fits_before_the_walk_has_begun() -> None:
    """It is started first, with its own checklist."""
    walk = Walk(CHECKLIST)

    refused(walk, answered("hour_meter"), "has not begun")
    other = replace(started(), checklist_sha256="0" * 64)
    refused(walk, other, "another checklist, small 1; take that one")


def test_a_climb_is_done_to_the_zone_that_is_due() -> None:
    """Points of another place cannot be answered before it."""
    walk = begun()
    while not isinstance(walk.task, Climb):
        walk.apply(next_event(walk))

    refused(walk, ev.ClimbDone(zone_id="cab"), "no climb to cab")
    refused(walk, answered("engine_oil"), "not the point that is asked")
    walk.apply(ev.ClimbDone(zone_id="engine"))

    assert walk.place is Place.PLATFORM


def test_a_walk_that_begins_up_high_begins_with_a_climb() -> None:
    """Everybody stands on the ground at first."""
    high = replace(CHECKLIST, zones=CHECKLIST.zones[2:])

    walk = begun(high)

    assert walk.phase is Phase.CLIMBING


def test_a_walk_without_points_is_only_declared() -> None:
    """The machine goes straight to the summary."""
    walk = begun(replace(CHECKLIST, zones=()))

    assert walk.phase is Phase.SUMMARY


def test_the_phase_machine_has_no_way_out_of_an_end() -> None:
    """No trigger leaves a final phase, and none jumps there from the beginning."""
    machine = PhaseMachine()
    triggers = {row["trigger"] for row in TRANSITIONS}
    assert not any(name.startswith("to_") for name in dir(machine._model))
    may = {t for t in triggers if getattr(machine._model, f"may_{t}")()}
    assert may == {"ask", "climb", "sum_up"}
    for phase in FINAL:
        machine._model.state = phase.value
        may = [t for t in triggers if getattr(machine._model, f"may_{t}")()]
        assert may == []


class AnyWalk(RuleBasedStateMachine):
    """Any events in any order, against a second, plain account of the rules."""

    def __init__(self) -> None:
        super().__init__()
        self.past: list[ev.WalkEvent] = []
        self.answered: list[str] = []
        self.skipped: set[str] = set()
        self.place = Place.GROUND
        self.paused = False
        self.over = False

    @initialize(checklist=checklists())
    def begin(self, checklist: Checklist) -> None:
        """A walk of any checklist."""
        self.checklist = checklist
        self.walk = Walk(checklist)
        self.states = [seen(self.walk)]

    def expected(self) -> tuple[str, str]:
        """What is due, by the plain account: a kind and an id."""
        points = [p for p in self.checklist.checkpoints if p.id not in self.answered]
        points.sort(key=lambda p: p.id in self.skipped)  # stable: walking order
        if not points:
            return "sum up", ""
        zone = self.checklist.zone(points[0].zone_id)
        if zone.place is not self.place:
            return "climb", zone.id
        return "ask", points[0].id

    def fits(self, event: ev.WalkEvent) -> bool:
        """Whether the plain account takes an event."""
        if isinstance(event, ev.WalkStarted):
            return not self.past
        if not self.past or self.over:
            return False
        if isinstance(event, ev.WalkStopped):
            return True
        if isinstance(event, ev.NoteKept):
            return event.checkpoint_id != "nowhere"
        if isinstance(event, ev.WalkResumed):
            return self.paused
        if self.paused:
            return False
        kind, due = self.expected()
        match event:
            case ev.WalkPaused():
                return True
            case ev.AnswerWithdrawn():
                return event.checkpoint_id in self.answered
            case ev.Declared():
                return kind == "sum up"
            case ev.ClimbDone():
                return (kind, due) == ("climb", event.zone_id)
            case ev.CheckpointSkipped():
                start = (kind, due) == ("ask", event.checkpoint_id) and (
                    self.checklist.checkpoint(due).kind is CheckpointKind.START
                )
                fresh = due not in self.skipped
                return (kind, due) == ("ask", event.checkpoint_id) and (
                    fresh and not start
                )
            case ev.AnswerConfirmed():
                return (kind, due) == ("ask", event.checkpoint_id)
        raise AssertionError(event)

    def take(self, event: ev.WalkEvent) -> None:
        """Let the walk and the plain account take an event."""
        if not self.fits(event):
            refused(self.walk, event, r"\S")
            return
        self.walk.apply(event)
        self.past.append(event)
        self.states.append(seen(self.walk))
        match event:
            case ev.AnswerConfirmed():
                self.answered.append(event.checkpoint_id)
                self.over = isinstance(event.answer, an.No)
            case ev.AnswerWithdrawn():
                self.answered.remove(event.checkpoint_id)
            case ev.CheckpointSkipped():
                self.skipped.add(event.checkpoint_id)
            case ev.ClimbDone():
                self.place = self.checklist.zone(event.zone_id).place
            case ev.WalkPaused():
                self.paused = True
            case ev.WalkResumed():
                self.paused = False
            case ev.Declared() | ev.WalkStopped():
                self.over = True

    @rule()
    def start(self) -> None:
        """Begin, once."""
        self.take(started(self.checklist))

    @precondition(lambda self: self.past and not self.over)
    @rule(data=st.data())
    def do_what_is_due(self, data: st.DataObject) -> None:
        """Go on as the walk wants it."""
        if self.paused:
            self.take(ev.WalkResumed())
        kind, due = self.expected()
        if kind == "climb":
            self.take(ev.ClimbDone(zone_id=due))
        elif kind == "sum up":
            self.take(ev.Declared(accepted=data.draw(st.booleans())))
        else:
            point = self.checklist.checkpoint(due)
            answer = data.draw(answer_at(self.checklist, point))
            self.take(ev.AnswerConfirmed(checkpoint_id=due, answer=answer))

    @rule(data=st.data())
    def do_anything(self, data: st.DataObject) -> None:
        """Go on in any way, mostly a wrong one."""
        points = [p.id for p in self.checklist.checkpoints]
        point = data.draw(st.sampled_from(points))
        zone = data.draw(st.sampled_from([z.id for z in self.checklist.zones]))
        events: list[ev.WalkEvent] = [
            ev.AnswerWithdrawn(checkpoint_id=point),
            ev.CheckpointSkipped(checkpoint_id=point, reason=REASON),
            ev.ClimbDone(zone_id=zone),
            ev.NoteKept(checkpoint_id=None, text="x"),
            ev.NoteKept(checkpoint_id="nowhere", text="x"),
            ev.WalkPaused(),
            ev.WalkResumed(),
            ev.Declared(accepted=True),
        ]
        event = data.draw(st.sampled_from(events))
        self.take(event)

    @precondition(lambda self: self.past)
    @rule(data=st.data())
    def skip_what_is_due(self, data: st.DataObject) -> None:
        """Leave the point at hand for later."""
        _, due = self.expected()
        self.take(ev.CheckpointSkipped(checkpoint_id=due, reason=REASON))

    @precondition(lambda self: self.answered)
    @rule()
    def take_back_the_last(self) -> None:
        """Undo the newest answer."""
        assert self.walk.last_answered == self.answered[-1]
        self.take(ev.AnswerWithdrawn(checkpoint_id=self.answered[-1]))

    @precondition(lambda self: self.past and len(self.past) > 8)
    @rule()
    def stop(self) -> None:
        """End it."""
        self.take(ev.WalkStopped(reason="operator"))

    @invariant()
    def the_walk_is_as_accounted(self) -> None:
        """Answers, place, pause, end and what is due are the same."""
        if not hasattr(self, "walk"):
            return
        walk = self.walk
        assert list(walk.answers) == self.answered
        assert set(walk.skipped) == self.skipped
        assert (walk.place, walk.paused, walk.over) == (
            self.place,
            self.paused,
            self.over,
        )
        assert walk.remaining == len(self.checklist.checkpoints) - len(self.answered)
        if self.past and not self.over:
            kind, due = self.expected()
            task = walk.task
            assert {
                "ask": asked(walk) == due,
                "climb": isinstance(task, Climb) and task.zone.id == due,
                "sum up": isinstance(task, SumUp),
            }[kind]

    def teardown(self) -> None:
        """Replay of every prefix gives the walk as it was at that moment."""
        for length, state in enumerate(getattr(self, "states", [])):
            past = self.past[:length]
            assert seen(Walk.replay(self.checklist, past)) == state


AnyWalk.TestCase.settings = settings(
    max_examples=30, stateful_step_count=25, deadline=None
)
TestAnyWalk = AnyWalk.TestCase
