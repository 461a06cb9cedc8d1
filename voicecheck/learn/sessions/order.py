"""An order said from memory, held against the walk."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from voicecheck.learn.cards import Card
from voicecheck.learn.events import Grade, Mode, Order, Review
from voicecheck.learn.sessions.texts import Texts
from voicecheck.statistics.ordering import EditKind, EditStep, edit_steps, kendall

__all__ = ["GIVEN_AWAY", "Compared", "compare"]

GIVEN_AWAY = 3
"""The hint that is the answer."""
_MOST_SAID = 4
"""Steps that are spoken; the page and the terminal have them all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """Zones, or the points of one zone, as they were said and as they are walked."""

    zone_id: str | None
    """None: the zones themselves."""
    expected: tuple[str, ...]
    said: tuple[str, ...]
    steps: tuple[EditStep[str], ...]
    """What would have to be done to make it right."""
    tau: float | None
    """Kendall's tau, -1 … 1; None with fewer than two in common."""
    hints: Mapping[str, int]
    """How many hints were given, by id."""

    @property
    def right(self) -> bool:
        """Tell whether nothing was left out, added or moved."""
        return not self.steps

    def grade(self, place_id: str) -> Grade:
        """Return how well one of the expected was recalled.

        What was left out or given away is not known; what was hinted at, or
        said in another place, is known in part.
        """
        kinds = {step.kind for step in self.steps if step.item == place_id}
        hints = self.hints.get(place_id, 0)
        if EditKind.MISSING in kinds or hints >= GIVEN_AWAY:
            return Grade.AGAIN
        return Grade.HARD if hints or EditKind.MOVED in kinds else Grade.GOOD

    def events(
        self, checklist: str, card: Callable[[str, str], Card]
    ) -> tuple[Order | Review, ...]:
        """Return what is kept of it.

        Args:
            checklist: its name.
            card: makes the card of a place: `zone_card` or `point_card`.
        """
        given = [p for p, count in self.hints.items() if count >= GIVEN_AWAY]
        order = Order(
            checklist=checklist,
            zone=self.zone_id,
            expected=self.expected,
            said=self.said,
            hinted=tuple(given),
        )
        reviews = (
            Review(card=card(checklist, p).id, grade=self.grade(p), mode=Mode.NEXT)
            for p in self.expected
        )
        return (order, *reviews)

    def text(self, texts: Texts, titles: Mapping[str, str], zone: str = "") -> str:
        """Return the differences in words, the first few of them.

        Args:
            texts: of recall.
            titles: of what was said and expected, by id.
            zone: title of the zone, where its points are compared.
        """
        which = "zones" if self.zone_id is None else "zone"
        if self.right:
            return texts.say(f"perfect_{which}", zone=zone)
        said = [_in_words(step, texts, titles) for step in self.steps[:_MOST_SAID]]
        if len(self.steps) > _MOST_SAID:
            said.append(texts.say("more", count=len(self.steps) - _MOST_SAID))
        if self.tau is not None and self.tau < 1:
            said.append(texts.say("tau", tau=f"{self.tau:.2f}"))
        return texts.say(f"off_{which}", zone=zone, steps=" ".join(said))


def compare(
    zone_id: str | None,
    expected: Sequence[str],
    said: Sequence[str],
    hints: Mapping[str, int],
) -> Compared:
    """Compare an order with the walk's.

    Args:
        zone_id: whose points they are; None: they are zones.
        expected: ids in walking order, as far as they were asked for.
        said: ids in the order in which they were said.
        hints: how many hints were given, by id.
    """
    return Compared(
        zone_id=zone_id,
        expected=tuple(expected),
        said=tuple(said),
        steps=edit_steps(expected, said).steps,
        tau=kendall(expected, said),
        hints={p: hints[p] for p in expected if hints.get(p)},
    )


def _in_words(step: EditStep[str], texts: Texts, titles: Mapping[str, str]) -> str:
    place = titles[step.item]
    match step.kind:
        case EditKind.MISSING:
            return texts.say("missing", place=place)
        case EditKind.EXTRA:
            return texts.say("extra", place=place)
    if step.after is None:
        return texts.say("moved_first", place=place)
    return texts.say("moved", place=place, after=titles[step.after])
