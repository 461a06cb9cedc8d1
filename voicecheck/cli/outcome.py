"""Print how a walk ended: decision first, then findings and where the record is."""

from __future__ import annotations

from collections.abc import Callable

from voicecheck.dialogue.wording import Wording
from voicecheck.round.walk import Walk

Print = Callable[[str], None]


def print_outcome(walk: Walk, wording: Wording, say: Print) -> None:
    """Print the decision with its rules, and every finding."""
    decision = walk.decision
    say("")
    say(f"DECISION: {wording.outcome(decision.outcome)}")
    seen: set[str] = set()
    for hit in decision.reasons:
        if hit.outcome is decision.outcome and hit.rule_id not in seen:
            seen.add(hit.rule_id)
            say(f"  {hit.text} [{hit.source}]")
    findings = walk.findings
    say(f"\nFindings: {len(findings)}")
    for number, finding in enumerate(findings, 1):
        point = walk.checklist.checkpoint(finding.checkpoint_id)
        zone = walk.checklist.zone(finding.zone_id)
        answer = wording.answer(point, finding.answer)
        severity = wording.word("severity", finding.severity)
        text = f"{wording.point(point)} {answer}"
        say(f"  {number}. {zone.title}: {text} ({severity}, {finding.outcome})")
    say(f"\n{wording.say('first')}")
