"""What can be due: a zone in its place, a point in its place, a kind of call."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from voicecheck.errors import LearnError


class CardSort(StrEnum):
    """What has to be recalled."""

    ZONE = "zone"
    """That this zone comes after the one before."""
    POINT = "point"
    """That this point comes after the one before, in its zone."""
    CALL = "call"
    """How a situation of this kind is called."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """One thing to recall."""

    sort: CardSort
    subject: str
    """Id of a zone, of a checkpoint, or of a kind of situation."""
    checklist: str
    """Name of the checklist; the walks of two machines are learned apart."""

    @property
    def id(self) -> str:
        """As it stands in personal events, such as `wheel-loader/zone/bucket`."""
        return f"{self.checklist}/{self.sort}/{self.subject}"


def zone_card(checklist: str, zone_id: str) -> Card:
    """Return the card of a zone in its place."""
    return Card(sort=CardSort.ZONE, subject=zone_id, checklist=checklist)


def point_card(checklist: str, checkpoint_id: str) -> Card:
    """Return the card of a checkpoint in its place."""
    return Card(sort=CardSort.POINT, subject=checkpoint_id, checklist=checklist)


def call_card(checklist: str, situation_kind: str) -> Card:
    """Return the card of a kind of situation."""
    return Card(sort=CardSort.CALL, subject=situation_kind, checklist=checklist)


def parse(card_id: str) -> Card:
    """Return the card of an id.

    Raises:
        LearnError: it is none of ours.
    """
    parts = card_id.split("/", 2)
    if len(parts) != 3 or parts[1] not in list(CardSort) or not parts[2]:
        raise LearnError(
            f"{card_id!r} is no card; ids look like wheel-loader/zone/bucket"
        )
    return Card(checklist=parts[0], sort=CardSort(parts[1]), subject=parts[2])
