"""The zones and points of a checklist as phrases that may be said.

They have no grammar file: their phrases are made of the checklist. A form that
two places share goes to the one that comes first among the places (the learner
stands there), and to neither where both lie in the same zone.
"""

from __future__ import annotations

import tomllib
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from itertools import combinations

from voicecheck.errors import GrammarError
from voicecheck.learn.names import forms
from voicecheck.round.checklist import Checklist
from voicecheck.speech.grammar import files
from voicecheck.speech.vocabulary.distance import phones_separation
from voicecheck.speech.vocabulary.pronunciation import pronounce

__all__ = ["TOO_ALIKE", "Knows", "PlaceNames", "sounds_apart", "words_known"]

Knows = Callable[[str], bool]
"""Tells whether the recogniser knows a word."""

TOO_ALIKE = 0.25
"""Short forms of two places that lie closer are left out where another form is
there (our choice)."""

_SHORTER = 0.6


@dataclass(frozen=True, slots=True, kw_only=True)
class _Named:
    """A place and the forms of its title, the fullest first."""

    zone_id: str
    forms: tuple[str, ...]

    def seen_from(self, zone_id: str) -> _Named:
        """Return the place as it is called from a zone."""
        if zone_id == self.zone_id:
            return self
        return replace(self, forms=self.forms[:1])


class PlaceNames:
    """How the zones and points of one checklist may be called.

    Args:
        checklist: in the language of the learner.
        knows: whether the recogniser knows a word; None: the dictionary.
    """

    def __init__(self, checklist: Checklist, knows: Knows | None = None) -> None:
        self._language = checklist.language
        self._knows = knows or words_known(checklist.language)
        given = _given(checklist.language)
        self._zones = {
            zone.id: self._named("", forms(zone.title, self._language))
            for zone in checklist.zones
        }
        self._points = {
            point.id: self._named(
                zone.id,
                (
                    *given.get(point.id, ()),
                    *forms(point.prompt, self._language, zone.title),
                ),
            )
            for zone in checklist.zones
            for point in zone.checkpoints
        }

    def phrases(self, place_ids: Sequence[str]) -> Mapping[str, tuple[str, ...]]:
        """Return the phrases of each place, the fullest first.

        Args:
            place_ids: of the zones, or of the points, that may be said now. The
                learner stands in the zone of the first; points of other zones
                are called by their full names only.

        Raises:
            GrammarError: the recogniser knows no form of a place, or two places
                are called alike.
        """
        if not place_ids:
            return {}
        zones = all(place in self._zones for place in place_ids)
        listed = self._zones if zones else self._points
        here = listed[place_ids[0]].zone_id
        named = {place: listed[place].seen_from(here) for place in place_ids}
        return _told_apart(_shared_out(named), self._language)

    def clearest(self, place_id: str, place_ids: Sequence[str]) -> str:
        """Return the form of a place that sounds least like any other place.

        Args:
            place_id: one of `place_ids`.
            place_ids: as in `phrases`.
        """
        phrases = self.phrases(place_ids)
        rest = [f for other, fs in phrases.items() if other != place_id for f in fs]

        def apart(form: str) -> float:
            gaps = (sounds_apart(form, other, self._language) for other in rest)
            return min(gaps, default=1.0)

        return max(phrases[place_id], key=apart)

    def closest(self, place_ids: Sequence[str]) -> tuple[tuple[str, str, float], ...]:
        """Return how far apart every two places can be said, the closest first.

        Of all their forms the pair that lies farthest apart counts: that is how
        well the two can be told apart by whoever wants to. Words that both share
        at the beginning or the end are no help and no hindrance.

        Args:
            place_ids: as in `phrases`.
        """
        phrases = self.phrases(place_ids)
        found = (
            (
                one,
                other,
                max(
                    sounds_apart(*_where_unlike(a, b), self._language)
                    for a in phrases[one]
                    for b in phrases[other]
                ),
            )
            for one, other in combinations(phrases, 2)
        )
        return tuple(sorted(found, key=lambda pair: pair[2]))

    def silent(self) -> tuple[str, ...]:
        """Return the ids of zones and points that cannot be said at all."""
        both = (*self._zones.items(), *self._points.items())
        return tuple(place for place, named in both if not named.forms)

    def _named(self, zone_id: str, found: Iterable[str]) -> _Named:
        sayable = (_in_known_words(form, self._language, self._knows) for form in found)
        kept = dict.fromkeys(form for form in sayable if form)
        return _Named(zone_id=zone_id, forms=tuple(kept))


def words_known(language: str) -> Knows:
    """Return whether a word has a pronunciation; only English has a dictionary."""
    if language != "en":
        return lambda _: True

    @cache
    def knows(word: str) -> bool:
        try:
            return bool(pronounce(word, language))
        except GrammarError:
            return False

    return knows


@lru_cache(maxsize=20_000)
def sounds_apart(one: str, other: str, language: str) -> float:
    """Return how far two phrases lie apart, 0 … 1, each said the usual way.

    In a language without a dictionary unlike phrases count as far apart.
    """
    if language != "en" or one == other:
        return float(one != other)
    return phones_separation(pronounce(one, language)[0], pronounce(other, language)[0])


@cache
def _given(language: str) -> Mapping[str, tuple[str, ...]]:
    """Return the names that are listed by hand, by the id of the checkpoint."""
    path = files.folder() / language / "learn" / "names.toml"
    if not path.is_file():
        return {}
    listed = tomllib.loads(path.read_text(encoding="utf-8"))
    return {point: tuple(names) for point, names in listed.items()}


def _in_known_words(form: str, language: str, knows: Knows) -> str:
    """Return a form in words that the recogniser knows; empty: it cannot be.

    A Korean word may be joined of two that are known by themselves.
    """
    words: list[str] = []
    for word in form.split():
        if knows(word):
            words.append(word)
            continue
        # the longer part first: "굴절" and "부" are words, "굴" is another
        cuts = range(len(word) - 1, 0, -1) if language == "ko" else ()
        halves = next(
            ([word[:n], word[n:]] for n in cuts if knows(word[:n]) and knows(word[n:])),
            None,
        )
        if halves is None:
            return ""
        words += halves
    return " ".join(words)


def _shared_out(named: Mapping[str, _Named]) -> dict[str, list[str]]:
    """Give each form to one place, or to none."""
    claims: dict[str, list[str]] = defaultdict(list)
    for place, called in named.items():
        for form in called.forms:
            claims[form].append(place)
    found: dict[str, list[str]] = {place: [] for place in named}
    for form, places in claims.items():
        first = places[0]
        rivals = [p for p in places[1:] if named[p].zone_id == named[first].zone_id]
        if rivals and form != named[first].forms[0]:
            continue
        found[first].append(form)
    return found


def _told_apart(
    shared: Mapping[str, Sequence[str]], language: str
) -> Mapping[str, tuple[str, ...]]:
    """Leave out short forms that sound like another place."""
    found: dict[str, tuple[str, ...]] = {}
    for place, own in shared.items():
        if not own:
            raise GrammarError(
                f"{place} cannot be said here: no form of its title is known to the "
                "recogniser and its own. Add its words to pronunciations.dict, or "
                "practise with --typed"
            )
        rest = [f for other, fs in shared.items() if other != place for f in fs]
        short = (
            form
            for form in own[1:]
            if not any(_alike(form, other, language) for other in rest)
        )
        found[place] = (own[0], *short)
    return found


def _where_unlike(one: str, other: str) -> tuple[str, str]:
    """Leave out the words with which both begin and end.

    Of "left front wheel" and "right front wheel" that is "left" and "right".
    """
    a, b = one.split(), other.split()
    while len(a) > 1 and len(b) > 1 and a[-1] == b[-1]:
        a, b = a[:-1], b[:-1]
    while len(a) > 1 and len(b) > 1 and a[0] == b[0]:
        a, b = a[1:], b[1:]
    return " ".join(a), " ".join(b)


def _alike(one: str, other: str, language: str) -> bool:
    letters, more = sorted((len(one), len(other)))
    if letters < _SHORTER * more:  # far apart by length alone, and cheaper to tell
        return False
    return sounds_apart(one, other, language) < TOO_ALIKE
