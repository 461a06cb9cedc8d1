"""A record as CSV: one line for each answer, for spreadsheets.

Columns, always these and in this order:

    record_id, unit, operator, started_utc, ended_utc, status, decision,
    zone, checkpoint, prompt,
    answer             good, yes, no, not_fitted, defect, leak, could_not_check,
                       level or reading
    fault, severity    of a defect; severity also as worked out for other findings
    fluid, leak_class  of a leak
    reason             why it could not be checked
    level              full, between, low or empty
    value, value_unit  of a reading, a plain number with a decimal point
    reading_state      against its limits
    consequence        of a finding: may_work_with_defects or out_of_service
    rules              ids of the rules that apply, with spaces between
    mode, confirmed_by, words, confidence, tries, after_prompt_s, too_fast
                       how the standing answer came in
    answered_utc, content_sha256

Empty cells mean that it does not apply or is not known. Text that a spreadsheet
could take for a formula (beginning with = + - @, tab or return) gets an
apostrophe in front, as OWASP advises for CSV injection. UTF-8 with a byte order
mark, so that spreadsheets read Korean; lines end with CR LF (RFC 4180).
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from typing import Any

COLUMNS = (
    "record_id",
    "unit",
    "operator",
    "started_utc",
    "ended_utc",
    "status",
    "decision",
    "zone",
    "checkpoint",
    "prompt",
    "answer",
    "fault",
    "severity",
    "fluid",
    "leak_class",
    "reason",
    "level",
    "value",
    "value_unit",
    "reading_state",
    "consequence",
    "rules",
    "mode",
    "confirmed_by",
    "words",
    "confidence",
    "tries",
    "after_prompt_s",
    "too_fast",
    "answered_utc",
    "content_sha256",
)

_BYTE_ORDER_MARK = "\ufeff"


def to_csv(document: Mapping[str, Any]) -> str:
    """Return a record as CSV text.

    Args:
        document: a record that follows its schema.
    """
    file = io.StringIO(newline="")
    file.write(_BYTE_ORDER_MARK)
    writer = csv.DictWriter(file, COLUMNS, restval="", lineterminator="\r\n")
    writer.writeheader()
    head = _head(document)
    for answer in document["content"]["answers"]:
        row = {**head, **_answer(document, answer)}
        writer.writerow({name: _cell(value) for name, value in row.items()})
    return file.getvalue()


def _head(document: Mapping[str, Any]) -> dict[str, Any]:
    content, walk = document["content"], document["walk"]
    return {
        "record_id": document["record_id"],
        "unit": content["unit"],
        "operator": content["operator"],
        "started_utc": walk["started_utc"],
        "ended_utc": walk["ended_utc"],
        "status": content["status"],
        "decision": content["decision"]["outcome"],
        "content_sha256": document["content_sha256"],
    }


def _answer(document: Mapping[str, Any], answer: Mapping[str, Any]) -> dict[str, Any]:
    content, checkpoint = document["content"], answer["checkpoint"]
    row = {key: value for key, value in answer.items() if key in COLUMNS}
    # in an answer "unit" is that of a reading, in a row that of the machine
    row["value_unit"] = row.pop("unit", None)
    row["prompt"] = document["words"]["prompts"].get(checkpoint)
    for reading in content["readings"]:
        if reading["checkpoint"] == checkpoint:
            row["reading_state"] = reading["state"]
    for finding in content["findings"]:
        if finding["checkpoint"] == checkpoint:
            row["severity"] = finding["severity"]
            row["consequence"] = finding["outcome"]
            row["rules"] = " ".join(finding["rules"])
    return {**row, **_how(document, checkpoint)}


def _how(document: Mapping[str, Any], checkpoint: str) -> dict[str, Any]:
    for entry in document["how"]:
        if entry["checkpoint"] == checkpoint and not entry["withdrawn"]:
            row = {key: value for key, value in entry.items() if key in _HOW}
            words = ", ".join(entry["words"] or [])
            return {**row, "words": words, "answered_utc": entry["at_utc"]}
    return {}


_HOW = ("mode", "confirmed_by", "confidence", "tries", "after_prompt_s", "too_fast")


def _cell(value: object) -> object:
    """Return a cell; numbers stay numbers, text is kept from being a formula."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str) and value.startswith(("=", "+", "-", "@", "\t", "\r")):
        return f"'{value}"
    return value
