"""All cards of a checklist in walking order, and which situation a card shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256

from voicecheck.errors import LearnError
from voicecheck.learn.cards import Card, call_card, point_card, zone_card
from voicecheck.learn.situations import Situation, build
from voicecheck.round.checklist import Checklist

__all__ = ["Deck", "deck"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Deck:
    """What can be learned of one machine."""

    checklist: Checklist
    cards: tuple[Card, ...]
    """Zone by zone: the zone, its points, then what can be called there."""
    zone_of: dict[str, str]
    """Id of a card to the zone in which it is learned first."""
    situations: dict[str, tuple[Situation, ...]]
    """Kind to its situations; empty where none are written in the language."""

    def shown(self, card: Card, turn: int) -> Situation:
        """Return the situation that a card shows at its nth turn.

        The same turn shows the same text; the next one mostly another.

        Raises:
            LearnError: it is no card of a call of this deck.
        """
        choices = self.situations.get(card.subject, ())
        if card.sort != "call" or not choices:
            raise LearnError(f"{card.id} shows no situation of this checklist")
        start = int(_mixed(card.id), 16) % len(choices)
        return choices[(start + turn) % len(choices)]


def deck(checklist: Checklist) -> Deck:
    """Return the deck of a checklist, in its language."""
    made = _situations(checklist)
    kinds: dict[str, list[Situation]] = {}
    for one in made:
        kinds.setdefault(one.kind, []).append(one)
    first_zone = {
        kind: checklist.checkpoint(ones[0].checkpoint_id).zone_id
        for kind, ones in kinds.items()
    }
    cards: list[Card] = []
    zone_of: dict[str, str] = {}
    for zone in checklist.zones:
        calls = [
            call_card(checklist.name, kind)
            for kind, where in first_zone.items()
            if where == zone.id
        ]
        # mixed, or good would always come before wrong
        calls.sort(key=lambda card: _mixed(card.id))
        found = [
            zone_card(checklist.name, zone.id),
            *(point_card(checklist.name, point.id) for point in zone.checkpoints),
            *calls,
        ]
        cards += found
        zone_of |= {card.id: zone.id for card in found}
    return Deck(
        checklist=checklist,
        cards=tuple(cards),
        zone_of=zone_of,
        situations={
            kind: tuple(sorted(ones, key=lambda one: _mixed(one.id)))
            for kind, ones in kinds.items()
        },
    )


def _situations(checklist: Checklist) -> Sequence[Situation]:
    try:
        return build(checklist)
    except LearnError:  # not written in this language, or for such a machine
        return ()


def _mixed(text: str) -> str:
    return sha256(text.encode()).hexdigest()
