"""A record as plain text, for a terminal: the decision first."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from voicecheck.report.labels_file import labels
from voicecheck.report.view import View, view, zone_title
from voicecheck.report.wording import duration_words, time_words


def to_plain_text(document: Mapping[str, Any]) -> str:
    """Return a record in words: decision, findings, readings, times and hashes.

    Args:
        document: a record that follows its schema.
    """
    at = labels(document["words"]["language"])
    shown = view(document, at)
    content, walk = document["content"], document["walk"]
    outcome = content["decision"]["outcome"]
    unit, operator = content["unit"], content["operator"] or at["page"]["not_given"]
    lines = [
        at["outcome"][outcome].upper(),
        at["outcome_text"][outcome],
        f"{at['status'][content['status']]} {walk['stop_reason'] or ''}".strip(),
        *(_reason(hit.where, hit.text, hit.source) for hit in shown.reasons),
        "",
        f"{at['page']['unit']}: {unit}",
        f"{at['page']['operator']}: {operator}",
        f"{at['page']['started']}: {_time(walk['started_utc'], at)}",
        f"{at['page']['ended']}: {_time(walk['ended_utc'], at)}",
        f"{at['page']['duration']}: {duration_words(walk['duration_s'])}",
        "",
        f"{at['sections']['findings']}: {len(shown.findings)}",
        *_findings(shown, at),
    ]
    if shown.readings:
        lines += ["", f"{at['sections']['readings']}:", *_readings(shown, at)]
    if shown.too_fast:
        lines += ["", f"{shown.too_fast} {at['text']['too_fast_note']}"]
    lines += _noise(document, at)
    lines += [
        "",
        at["text"]["first"],
        f"{at['text']['record']}: {document['record_id']}",
        f"{at['text']['content']}: {document['content_sha256']}",
    ]
    return "\n".join(lines)


def _noise(
    document: Mapping[str, Any], at: Mapping[str, Mapping[str, str]]
) -> list[str]:
    if "noise" not in document:
        return []
    noise, columns, texts = document["noise"], at["columns"], at["text"]
    unit, ratios = noise["unit"], noise["answers_snr_db"]
    lines = ["", f"{at['sections']['noise']} ({unit}):"]
    lines += [
        f"  {zone_title(document, level['zone'])}: {columns['noise_median']} "
        f"{level['median']:g}, {columns['noise_90']} {level['percentile_90']:g}"
        for level in noise["zones"]
    ]
    if ratios["median"] is not None:
        lines.append(
            f"  {texts['noise_snr']}: {ratios['median']:g} dB, "
            f"{texts['noise_lowest']} {ratios['lowest']:g} dB"
        )
    lines += [
        f"  {texts['noise_too_loud']}: {_time(time['from_utc'], at)} ({time['detail']})"
        for time in noise["too_loud"]
    ]
    if noise["full_scale_db"] is None:
        return [*lines, f"  {texts['noise_relative']}"]
    full_scale = f"{noise['microphone']}, {noise['full_scale_db']:g} dB"
    return [*lines, f"  {texts['noise_calibrated']}: {full_scale}"]


def _reason(where: str, text: str, source: str) -> str:
    return f"  {where} {text} [{source}]" if where else f"  {text} [{source}]"


def _time(at_utc: str, at: Mapping[str, Mapping[str, str]]) -> str:
    return time_words(at_utc, at, local_time=True)


def _findings(shown: View, at: Mapping[str, Mapping[str, str]]) -> list[str]:
    return [
        f"  {finding.number}. {finding.zone}: {finding.point} {finding.what} "
        f"({at['severity'][finding.severity]}; {at['outcome_short'][finding.outcome]})"
        for finding in shown.findings
    ]


def _readings(shown: View, at: Mapping[str, Mapping[str, str]]) -> list[str]:
    lines = []
    for reading in shown.readings:
        state = f" {at['state'][reading.state]}" if reading.limits else ""
        limits = f" ({reading.limits})" if reading.limits else ""
        lines.append(f"  {reading.point} {reading.value}{state}{limits}")
    return lines
