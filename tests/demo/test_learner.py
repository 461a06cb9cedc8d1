"""The simulated learner: says what it wants, and mends what was misheard."""

from __future__ import annotations

from dataclasses import dataclass, field

from voicecheck.demo.learner import SILENT, SimulatedLearner
from voicecheck.learn.sessions.next_point import DONE, NextPoint
from voicecheck.learn.spoken.places import PlaceNames
from voicecheck.testing.small_checklist import small_checklist

SMALL = small_checklist()


@dataclass
class Yard:
    """One learner in the cab, and what it says aloud."""

    wants: str
    said: list[tuple[str, int]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.session = NextPoint(SMALL, zones=["cab"])
        self.learner = SimulatedLearner(
            lambda: self.session,
            PlaceNames(SMALL),
            lambda _: self.wants,
            lambda phrase, _after_s, attempt: self.said.append((phrase, attempt)),
            "en",
        )

    def listen(self, question: str = "place") -> None:
        self.learner.watch("listening", {"question": question})


def test_it_says_what_it_wants_again_if_need_be() -> None:
    """The second try is told as such, for a slower and louder voice."""
    yard = Yard(wants="horn")

    yard.listen()
    yard.listen()

    assert yard.said == [("horn", 1), ("horn", 2)]


def test_it_takes_back_what_was_misheard() -> None:
    """Another place was taken: no; then the first once more."""
    yard = Yard(wants="horn")
    yard.listen()
    yard.session.answer("camera")

    yard.learner.watch("taken", {"value": "camera"})
    yard.learner.watch("asked", {})
    yard.listen()
    yard.learner.watch("taken", {"value": "/back"})
    yard.learner.watch("asked", {})
    yard.listen()

    assert [phrase for phrase, _ in yard.said] == ["horn", "no", "horn"]
    assert yard.learner.misheard == 1


def test_it_affirms_only_what_it_said() -> None:
    """A read-back of something else gets a no."""
    yard = Yard(wants=DONE)
    yard.listen()

    yard.learner.watch("readback", {"value": {"value": "done"}})
    yard.listen("yes_no")
    yard.learner.watch("readback", {"value": {"value": "horn"}})
    yard.listen("yes_no")

    assert [phrase for phrase, _ in yard.said] == ["that is all", "yes", "no"]


def test_it_can_be_silent_and_carries_on_after_a_pause() -> None:
    """Silence is wanted, too."""
    yard = Yard(wants=SILENT)

    yard.listen()
    yard.listen("paused")

    assert yard.said == [("carry on", 2)]
