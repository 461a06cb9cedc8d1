"""The guided walk: each point with what to look at, what is wrong, and why.

The words are the checklist's own. The learner leads: next, again, go back, why,
what is wrong. No machine is needed, and nothing is judged.
"""

from __future__ import annotations

from collections.abc import Iterable

from voicecheck.errors import LearnError
from voicecheck.learn.events import Look, Mode
from voicecheck.learn.sessions.chosen import chosen_zones
from voicecheck.learn.sessions.ports import Choice, Feedback, Listening, Question
from voicecheck.learn.sessions.texts import Texts
from voicecheck.round.checklist import Checklist, Checkpoint, CheckpointKind, Zone

__all__ = ["AGAIN", "BACK", "NEXT", "WHY", "WRONG", "Guided", "resume_point"]

NEXT, AGAIN, BACK, WHY, WRONG = "next", "again", "back", "why", "wrong"
"""What a guided walk takes for an answer."""
_WORDS = (NEXT, AGAIN, BACK, WHY, WRONG)


class Guided:
    """Lead one learner round one machine.

    Args:
        checklist: in the language of the learner.
        zones: ids of the zones to go through; None: all.
        begin_at: id of the checkpoint to begin with; None: the first.

    Raises:
        LearnError: there is no such zone or checkpoint among them.
    """

    mode = Mode.GUIDED

    def __init__(
        self,
        checklist: Checklist,
        *,
        zones: Iterable[str] | None = None,
        begin_at: str | None = None,
    ) -> None:
        self._checklist = checklist
        chosen = chosen_zones(checklist, zones)
        self._points = tuple(p for zone in chosen for p in zone.checkpoints)
        self._texts = Texts("guided", checklist.language)
        self._at = self._begins = self._place(begin_at)
        self._told = False
        """Whether the whole of the point was told: then only "next" is waited for."""
        self._looked: set[str] = set()

    @property
    def finished(self) -> bool:
        """Tell whether the last point has been gone through."""
        return self._at >= len(self._points)

    @property
    def checkpoint_id(self) -> str | None:
        """The point at hand, where another sitting can begin; None at the end."""
        return None if self.finished else self._points[self._at].id

    def ask(self) -> Question:
        """Return the point at hand with all there is to say, or just its end."""
        point = self._point()
        ready = (self._texts.say("ready"),)
        if self._told:
            said: Iterable[str] = ready
        else:
            first = not self._looked and self._at == self._begins
            end = ready if first else ()
            said = (*self._around(point), *self._about(point), *end)
        return Question(
            text=" ".join(said),
            listening=Listening.CONTROL,
            choices=tuple(
                Choice(value=word, words=self._texts.word("words", word))
                for word in _WORDS
            ),
        )

    def answer(self, value: str) -> Feedback:
        """Go on, back, or say a part again."""
        point = self._point()
        match value:
            case "next":
                return self._next(point)
            case "again":
                self._told = False
                return Feedback(text="")
            case "back":
                return self._back()
            case "why":
                self._told = True
                return Feedback(text=self._texts.say("why", why=point.why))
            case "wrong":
                return self.hint()
        raise LearnError(
            f"{value!r} leads nowhere on a guided walk; say one of {', '.join(_WORDS)}"
        )

    def hint(self) -> Feedback:
        """Say what wrong looks like here."""
        point = self._point()
        self._told = True
        return Feedback(text=" ".join(self._wrong(point)))

    def ending(self) -> Feedback:
        """Say how far it went."""
        return Feedback(
            text=self._texts.say(
                "ending", count=len(self._looked), points=len(self._points)
            )
        )

    # ---- the way --------------------------------------------------------

    def _point(self) -> Checkpoint:
        if self.finished:
            raise LearnError("the guided walk is over; begin another")
        return self._points[self._at]

    def _next(self, point: Checkpoint) -> Feedback:
        self._at += 1
        self._told = False
        self._looked.add(point.id)
        look = Look(checklist=self._checklist.name, checkpoint=point.id)
        return Feedback(text="", events=(look,))

    def _back(self) -> Feedback:
        self._told = False
        if self._at == 0:
            return Feedback(text=self._texts.say("first"))
        self._at -= 1
        return Feedback(text="")

    def _place(self, begin_at: str | None) -> int:
        if begin_at is None:
            return 0
        ids = [point.id for point in self._points]
        if begin_at not in ids:
            raise LearnError(
                f"{begin_at!r} is no checkpoint of this walk; begin at {ids[0]!r}, "
                "for example"
            )
        return ids.index(begin_at)

    # ---- the words ------------------------------------------------------

    def _around(self, point: Checkpoint) -> Iterable[str]:
        """Say the opening; where a zone begins, its name and the caution of a climb."""
        opening = self._at == self._begins and not self._looked
        if opening:
            yield self._texts.say("opening")
            yield from self._checklist.cautions
        before = self._points[self._at - 1] if self._at else None
        if before is None or before.zone_id != point.zone_id or opening:
            zone = self._checklist.zone(point.zone_id)
            yield self._texts.say("zone", zone=zone.title.capitalize())
            if self._climbs(before, zone):
                yield self._texts.say("climb", caution=zone.climb_caution)

    def _climbs(self, before: Checkpoint | None, zone: Zone) -> bool:
        if before is None or not zone.climb_caution:
            return False
        return self._checklist.zone(before.zone_id).place is not zone.place

    def _about(self, point: Checkpoint) -> Iterable[str]:
        """Say everything that the checklist knows of a point; cautions first."""
        for hazard in point.hazards:
            yield self._texts.say("hazard", hazard=hazard)
        yield self._texts.say("point", prompt=point.prompt)
        yield self._texts.say("look", look=point.look)
        yield from self._wrong(point)
        yield self._texts.say("why", why=point.why)

    def _wrong(self, point: Checkpoint) -> Iterable[str]:
        yield self._texts.say("wrong", wrong=point.wrong)
        if point.kind is CheckpointKind.START:
            yield self._texts.say("stop", stop=point.stop_text)


def resume_point(checklist: Checklist, looked: Iterable[str]) -> str | None:
    """Return where the next sitting begins: behind the point looked at last.

    Args:
        checklist: of the walk.
        looked: ids of the checkpoints gone through, the latest last.

    Returns:
        None where nothing was looked at, or the walk was gone through.
    """
    ids = [point.id for point in checklist.checkpoints]
    known = [point for point in looked if point in ids]
    if not known or known[-1] == ids[-1]:
        return None
    return ids[ids.index(known[-1]) + 1]
