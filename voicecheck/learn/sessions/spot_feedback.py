"""What is said of a call: each part, the rule behind it, and its source."""

from __future__ import annotations

from voicecheck.learn.events import CallParts, Opened
from voicecheck.learn.sessions.texts import Texts
from voicecheck.learn.situations import Situation
from voicecheck.round.decision import RuleHit

__all__ = ["feedback_text", "rules_behind", "sources"]

_MOST_RULES = 2


def feedback_text(one: Situation, said: CallParts, texts: Texts) -> str:
    """Return the judgement in words, to be said: each part, then the rule."""
    parts = [*_opened(one.expected, said, texts), *_details(one, said, texts)]
    parts = [_right(one.expected, said, texts), *parts]
    if one.why:
        parts.append(one.why)
    parts.append(_may_work(one.expected, said, texts))
    parts += [hit.text for hit in rules_behind(one)[:1]]
    return " ".join(parts)


def rules_behind(one: Situation) -> tuple[RuleHit, ...]:
    """Return the rules that decide, the one that says most of this point first.

    Rules of a file go from the general to the special.
    """
    worst = one.decision.outcome
    hits = [hit for hit in one.decision.reasons if hit.outcome is worst]
    here = [hit for hit in hits if hit.checkpoint_id == one.checkpoint_id]
    elsewhere = [hit for hit in hits if hit.checkpoint_id != one.checkpoint_id]
    return (*reversed(here), *elsewhere)


def sources(one: Situation, texts: Texts) -> str:
    """Return where the rules come from, to be shown; the first was said already."""
    first, *others = rules_behind(one)[:_MOST_RULES] or (None,)
    lines = [f"[{first.source}]"] if first is not None else []
    lines += [f"{hit.text} [{hit.source}]" for hit in others if hit is not None]
    if one.expected.severity is not None:
        lines.append(texts.say("course_source"))
    if one.expected.leak_class is not None:
        lines.append(texts.say("class_source"))
    if one.signal:
        lines.append(texts.say("first"))
    return "\n".join(lines)


def _right(expected: CallParts, said: CallParts, texts: Texts) -> str:
    """Name the parts that are right, where others are not."""
    if said == expected:
        return texts.say("right")
    if said.opened is not expected.opened:
        return texts.say("not_right")
    words = [texts.word("words", expected.opened)]
    if expected.severity is not None and said.severity is expected.severity:
        words.append(texts.word("words", expected.severity))
    if expected.leak_class is not None and said.leak_class is expected.leak_class:
        words.append(texts.word("words", expected.leak_class))
    return texts.say("right_parts", parts=", ".join(words))


def _opened(expected: CallParts, said: CallParts, texts: Texts) -> list[str]:
    if said.opened is expected.opened:
        return []
    if expected.opened in (Opened.YES, Opened.NO):
        return [texts.say(f"wrong_{expected.opened}")]
    word = texts.word("words", expected.opened)
    return [texts.say("wrong_opened", expected=word)]


def _details(one: Situation, said: CallParts, texts: Texts) -> list[str]:
    expected = one.expected
    lines = []
    if expected.severity not in (None, said.severity):
        word = texts.word("words", str(expected.severity))
        lines.append(texts.say("wrong_severity", expected=word))
    if expected.leak_class not in (None, said.leak_class):
        word = texts.word("words", str(expected.leak_class))
        definition = texts.word("classes", str(expected.leak_class))
        lines.append(
            texts.say("wrong_leak_class", expected=word, definition=definition)
        )
    return lines


def _may_work(expected: CallParts, said: CallParts, texts: Texts) -> str:
    key = "works" if expected.may_work else "works_not"
    if said.may_work != expected.may_work and said.opened is expected.opened:
        key = f"wrong_{key}"
    return texts.say(key)
