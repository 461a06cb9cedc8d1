"""What comes next? Zones, and the points of each, said in order from memory.

Nothing is judged while it is said: each answer is only said back, and can be
taken back, so that a mishearing is never the learner's mistake. A zone is
compared when the next one is named, the zones at the end.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from voicecheck.errors import LearnError
from voicecheck.learn.cards import point_card, zone_card
from voicecheck.learn.events import LearnEvent, Mode
from voicecheck.learn.names import title
from voicecheck.learn.sessions.chosen import chosen_zones
from voicecheck.learn.sessions.hints import hint_text
from voicecheck.learn.sessions.order import Compared, compare
from voicecheck.learn.sessions.ports import Choice, Feedback, Listening, Question
from voicecheck.learn.sessions.texts import Texts
from voicecheck.round.checklist import Checklist

__all__ = ["BACK", "DONE", "NextPoint"]

DONE = "/done"
"""All of this zone, or of the walk, has been said."""
BACK = "/back"
"""What was said last was not meant, or misheard."""
_AHEAD = 3
"""Points of the next zone that can be named here, by mistake."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _State:
    """What was said so far."""

    zone: str | None = None
    """The zone whose points are being said; None: the next zone is asked for."""
    zones: tuple[str, ...] = ()
    points: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """What was said in each zone."""
    closed: str | None = None
    """The zone that was said last and is not compared yet."""
    hints: Mapping[tuple[str | None, str], int] = field(default_factory=dict)
    """How many, by zone at hand and place."""
    over: bool = False


class NextPoint:
    """Ask one learner for the order of one walk.

    Args:
        checklist: in the language of the learner.
        zones: ids of the zones that are asked for; None: all. Of a single zone
            only the points are asked.
        points: whether the points of each zone are asked for.

    Raises:
        LearnError: there is no such zone, or nothing would be asked.
    """

    mode = Mode.NEXT

    def __init__(
        self,
        checklist: Checklist,
        *,
        zones: Iterable[str] | None = None,
        points: bool = True,
    ) -> None:
        self._checklist = checklist
        self._zones = tuple(z.id for z in chosen_zones(checklist, zones))
        self._with_points = points
        if len(self._zones) == 1 and not points:
            raise LearnError("one zone has no order; ask for its points, or for more")
        self._texts = Texts("next", checklist.language)
        single = len(self._zones) == 1
        self._state = _State(zone=self._zones[0] if single else None)
        self._past: list[_State] = []
        self._compared: list[Compared] = []
        self._ended = False
        self._verdict = ""
        self._zone_titles = {zone.id: zone.title for zone in checklist.zones}
        self._point_titles = {p.id: title(p.prompt) for p in checklist.checkpoints}

    @property
    def finished(self) -> bool:
        """Tell whether the learner has said that this is all."""
        return self._state.over

    @property
    def compared(self) -> tuple[Compared, ...]:
        """Every order that has been compared so far; those of zones come last."""
        return tuple(self._compared)

    def ask(self) -> Question:
        """Ask for the next zone, or the next point of the zone at hand."""
        state = self._state
        if state.over:
            raise LearnError("all has been said; begin another session")
        if state.zone is None:
            key = "next_zone" if state.zones else "first_zone"
            return self._question(self._texts.say(key), self._zones_left())
        said = state.points.get(state.zone, ())
        zone = self._zone_titles[state.zone].capitalize()
        key = "next_point" if said else "first_point"
        return self._question(self._texts.say(key, zone=zone), self._near(state.zone))

    def answer(self, value: str) -> Feedback:
        """Take a zone, a point, the end of either, or the last one back."""
        allowed = {choice.value for choice in self.ask().choices}
        if value not in allowed:
            raise LearnError(
                f"{value!r} cannot be said here; there are: {', '.join(allowed)}"
            )
        if value == BACK:
            return self._back()
        state = self._state
        if value == DONE:
            return self._done()
        if state.zone is None:
            return self._zone_named(value)
        said = (*state.points.get(state.zone, ()), value)
        points = {**state.points, state.zone: said}
        self._move(replace(state, points=points))
        return Feedback(text=self._heard(self._point_titles[value]))

    def hint(self) -> Feedback:
        """Help with the first that was left out: its side or kind, its first word,
        at last the answer. Each hint counts."""
        state = self._state
        left = self._due()
        if not left:
            return Feedback(text=self._texts.say("nothing_left"))
        place = left[0]
        count, text = hint_text(
            self._checklist,
            place,
            is_zone=state.zone is None,
            given=state.hints.get((state.zone, place), 0),
            texts=self._texts,
        )
        hints = {**state.hints, (state.zone, place): count}
        self._state = replace(state, hints=hints)
        return Feedback(text=text)

    def ending(self) -> Feedback:
        """Compare what is not compared yet, and the zones.

        Broken off, only what had been reached is compared. A second call says
        the same and brings no events again.
        """
        texts: list[str] = []
        events: list[LearnEvent] = []
        if not self._ended:
            self._ended = True
            texts, events = self._settle(self._state.zone or self._state.closed)
            if len(self._zones) > 1 and self._state.zones:
                found = compare(
                    None,
                    self._reached(self._zones, self._state.zones),
                    self._state.zones,
                    self._hints(None),
                )
                self._keep(found, texts, events)
            self._verdict = " ".join(texts) or self._texts.say("nothing")
        hints = sum(self._state.hints.values())
        counted = f" {self._texts.say('hints', count=hints)}" if hints else ""
        judged = self._compared
        return Feedback(
            text=self._verdict + counted,
            right=all(found.right for found in judged) if judged else None,
            events=tuple(events),
        )

    # ---- moves ----------------------------------------------------------

    def _move(self, state: _State) -> None:
        self._past.append(self._state)
        self._state = state

    def _back(self) -> Feedback:
        if not self._past:
            return Feedback(text=self._texts.say("nothing_back"))
        hints = self._state.hints  # what was hinted stays hinted
        self._state = replace(self._past.pop(), hints=hints)
        return Feedback(text=self._texts.say("taken_back"))

    def _zone_named(self, zone: str) -> Feedback:
        """Go on to a zone; the one before is compared, and can no more be changed."""
        state = self._state
        texts, events = self._settle(state.closed)
        state = replace(state, closed=None)
        self._past = [] if events else self._past
        self._state = state
        self._move(
            replace(
                state,
                zones=(*state.zones, zone),
                zone=zone if self._with_points else None,
            )
        )
        # where its points are asked for, that question names the zone
        heard = "" if self._with_points else self._heard(self._zone_titles[zone])
        return Feedback(
            text=" ".join(filter(None, (*texts, heard))), events=tuple(events)
        )

    def _done(self) -> Feedback:
        state = self._state
        zones_left = [zone for zone in self._zones if zone not in state.zones]
        last = state.zone is None or len(self._zones) == 1 or not zones_left
        self._move(replace(state, zone=None, closed=state.zone, over=last))
        return Feedback(text="" if last else self._texts.say("closed"))

    def _settle(self, zone: str | None) -> tuple[list[str], list[LearnEvent]]:
        """Compare the points of a zone."""
        texts: list[str] = []
        events: list[LearnEvent] = []
        if zone is None or not self._with_points:
            return texts, events
        expected = tuple(p.id for p in self._checklist.zone(zone).checkpoints)
        said = self._state.points.get(zone, ())
        if self._state.zone == zone:  # broken off in the middle
            expected = self._reached(expected, said)
        if expected:
            found = compare(zone, expected, said, self._hints(zone))
            self._keep(found, texts, events)
        return texts, events

    def _keep(
        self, found: Compared, texts: list[str], events: list[LearnEvent]
    ) -> None:
        self._compared.append(found)
        name = self._checklist.name
        if found.zone_id is None:
            texts.append(found.text(self._texts, self._zone_titles))
            events += found.events(name, zone_card)
            return
        zone = self._zone_titles[found.zone_id].capitalize()
        texts.append(found.text(self._texts, self._point_titles, zone))
        events += found.events(name, point_card)

    def _hints(self, zone: str | None) -> dict[str, int]:
        hints = self._state.hints
        return {place: hints[at, place] for at, place in hints if at == zone}

    def _reached(
        self, expected: tuple[str, ...], said: tuple[str, ...]
    ) -> tuple[str, ...]:
        """Return what was asked for: all, or up to the last that was said."""
        if self._state.over:
            return expected
        last = max((expected.index(p) for p in said if p in expected), default=-1)
        return expected[: last + 1]

    # ---- what can be said -------------------------------------------------

    def _due(self) -> tuple[str, ...]:
        """Return what has not been said here, in walking order."""
        state = self._state
        if state.zone is None:
            return self._zones_left()
        said = state.points.get(state.zone, ())
        points = self._checklist.zone(state.zone).checkpoints
        return tuple(p.id for p in points if p.id not in said)

    def _zones_left(self) -> tuple[str, ...]:
        return tuple(z for z in self._zones if z not in self._state.zones)

    def _near(self, zone: str) -> tuple[str, ...]:
        """Return the points of the zone, and a few around it that may slip in.

        What was forgotten in the zone before is remembered here; what comes in
        the next is said too soon.
        """
        zones = list(self._checklist.zones)
        at = [z.id for z in zones].index(zone)
        before = zones[at - 1].checkpoints if at else ()
        after = zones[at + 1].checkpoints[:_AHEAD] if at + 1 < len(zones) else ()
        said = {p for points in self._state.points.values() for p in points}
        around = (p.id for p in (*before, *after) if p.id not in said)
        return (*self._due(), *around)

    def _question(self, text: str, places: tuple[str, ...]) -> Question:
        zones = self._state.zone is None
        titles = self._zone_titles if zones else self._point_titles
        steering = [Choice(value=DONE, words=self._texts.say("done"))]
        if self._past:
            steering.append(Choice(value=BACK, words=self._texts.say("back")))
        return Question(
            text=text,
            listening=Listening.PLACE,
            choices=(
                *(Choice(value=place, words=titles[place]) for place in places),
                *steering,
            ),
        )

    def _heard(self, place: str) -> str:
        return self._texts.say("heard", place=place.capitalize())
