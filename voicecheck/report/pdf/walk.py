"""One walk as a PDF that a site can file: the decision first, hashes last."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from voicecheck.report.fonts import fonts_for
from voicecheck.report.labels_file import Labels, labels
from voicecheck.report.pdf.how import how_table
from voicecheck.report.pdf.plan import draw_plan
from voicecheck.report.pdf.sheet import MARGIN_MM, Cell, Sheet
from voicecheck.report.view import AnswerView, FindingView, RuleView, View, prompt, view
from voicecheck.report.wording import (
    clock_words,
    duration_words,
    number_words,
    time_words,
)

Data = Mapping[str, Any]

_FRAME_MM = {"out_of_service": 1.6, "may_work_with_defects": 0.9, "may_work": 0.5}
_PLAN_MM = 78.0


def walk_pdf(
    document: Data, *, local_time: bool = False, font: Path | None = None
) -> bytes:
    """Return the PDF of one record.

    Args:
        document: a record that follows `voicecheck/record/record.schema.json`.
        local_time: also show times in the time zone of this computer; without
            it the file depends on the record alone.
        font: a TrueType file that the user chose.

    Raises:
        UsageError: no font here has the letters of the record.
    """
    language = document["words"]["language"]
    at = labels(language)
    everything = json.dumps([document, at], ensure_ascii=False, default=dict)
    content = document["content"]
    unit = f"{at['page']['unit']} {content['unit']}"
    outcome = at["outcome"][content["decision"]["outcome"]]
    sheet = Sheet(
        fonts_for(everything, language, font),
        title=f"{at['page']['title']}, {unit}: {outcome}",
        foot=f"{at['text']['record']} {document['record_id']}",
        made_at=datetime.fromisoformat(document["walk"]["ended_utc"]),
        page_words=(at["sheet"]["page"], at["sheet"]["of"]),
        language=language,
    )
    shown = view(document, at)
    _decision(sheet, document, shown, at)
    _facts(sheet, document, at, local_time=local_time)
    _findings(sheet, document, shown, at)
    _plan(sheet, document, shown, at)
    _readings(sheet, shown, at)
    _declaration(sheet, document, at, local_time=local_time)
    sheet.heading(at["sections"]["cautions"])
    sheet.bullets([at["text"]["first"], *document["words"]["cautions"]])
    _answers(sheet, shown, at)
    _asides(sheet, document, at)
    how_table(sheet, document, at)
    _proof(sheet, document, at)
    return sheet.bytes()


def _decision(sheet: Sheet, document: Data, shown: View, at: Labels) -> None:
    content, walk = document["content"], document["walk"]
    outcome = content["decision"]["outcome"]
    sheet.font(15, bold=True)
    sheet.pdf.cell(sheet.width_mm / 2, 9, sheet.shown(at["page"]["title"]))
    unit = f"{at['page']['unit']} {content['unit']}"
    sheet.pdf.cell(0, 9, sheet.shown(unit), align="R")
    sheet.pdf.ln(10)
    with sheet.boxed(_FRAME_MM[outcome]):
        sheet.paragraph(at["outcome"][outcome], size_pt=24, bold=True)
        sheet.paragraph(at["outcome_text"][outcome], size_pt=11)
        reason = f" {at['text']['stop']}: {walk['stop_reason']}"
        status = at["status"][content["status"]]
        sheet.paragraph(status + (reason if walk["stop_reason"] else ""))
    if shown.reasons:
        sheet.heading(at["sections"]["why"])
        sheet.bullets(_rule(hit, at, where=True) for hit in shown.reasons)


def _rule(hit: RuleView, at: Labels, *, where: bool) -> str:
    place = f"{hit.where} " if where and hit.where else ""
    return f"{place}{hit.text} [{at['text']['source']}: {hit.source}]"


def _facts(sheet: Sheet, document: Data, at: Labels, *, local_time: bool) -> None:
    content, walk, words = document["content"], document["walk"], document["words"]
    page = at["page"]
    meter = content["hour_meter"]
    lasted = duration_words(walk["duration_s"])
    if walk["paused_s"]:
        lasted += f", {page['paused']} {duration_words(walk['paused_s'])}"
    facts = [
        (page["unit"], content["unit"]),
        (page["operator"], content["operator"] or page["not_given"]),
        (
            page["hour_meter"],
            f"{number_words(meter['value'])} h" if meter else page["not_given"],
        ),
        (page["started"], time_words(walk["started_utc"], at, local_time=local_time)),
        (page["ended"], time_words(walk["ended_utc"], at, local_time=local_time)),
        (page["duration"], lasted),
        (page["way"], at["mode"].get(walk["mode"], walk["mode"] or "")),
        (page["checklist"], f"{words['title']}, {words['machine']}"),
        (
            page["version"],
            f"{content['checklist']['name']} {content['checklist']['version']}",
        ),
    ]
    sheet.pdf.ln(2)
    rows = [(Cell(text=name, bold=True), value) for name, value in facts]
    sheet.table((), rows, (30, 150), size_pt=9)


def _findings(sheet: Sheet, document: Data, shown: View, at: Labels) -> None:
    columns = at["columns"]
    sheet.heading(f"{at['sections']['findings']} ({len(shown.findings)})")
    if not shown.findings:
        sheet.paragraph(at["text"]["no_findings"])
        return
    sheet.table(
        (
            columns["number"],
            columns["where"],
            columns["what"],
            columns["severity"],
            columns["consequence"],
        ),
        [_finding(finding, at) for finding in shown.findings],
        (9, 42, 40, 24, 65),
    )


def _finding(finding: FindingView, at: Labels) -> tuple[str | Cell, ...]:
    unfit = finding.outcome == "out_of_service"
    what = finding.what
    if finding.limits:
        what += f"\n{at['columns']['limits']}: {finding.limits}"
    rules = [_rule(hit, at, where=False) for hit in finding.rules]
    consequence = at["outcome_short"][finding.outcome]
    return (
        Cell(text=str(finding.number), bold=True),
        f"{finding.zone}\n{finding.point}",
        Cell(text=what, bold=True),
        Cell(text=f"{at['severity'][finding.severity]}: {consequence}", bold=unfit),
        "\n".join(rules or [at["text"]["no_rule"]]),
    )


def _plan(sheet: Sheet, document: Data, shown: View, at: Labels) -> None:
    if not shown.marks:
        return
    height = _PLAN_MM * 1.5
    sheet.room(height + 18)
    sheet.heading(at["sections"]["plan"])
    top = sheet.pdf.get_y()
    name = document["content"]["checklist"]["name"]
    bottom = draw_plan(
        sheet, name, shown.marks, at, x=MARGIN_MM, y=top, width_mm=_PLAN_MM
    )
    sheet.pdf.set_xy(MARGIN_MM, top + 2)
    sheet.pdf.set_left_margin(MARGIN_MM + _PLAN_MM + 5)
    sheet.pdf.set_x(MARGIN_MM + _PLAN_MM + 5)
    sheet.paragraph(at["text"]["plan_text"], size_pt=8.5, soft=True)
    for finding in shown.findings:
        if sheet.pdf.get_y() > bottom - 18:
            break  # the whole list stands in the table above
        sheet.paragraph(
            f"{finding.number}  {finding.zone}: {finding.what}",
            size_pt=9,
            bold=finding.outcome == "out_of_service",
        )
    sheet.pdf.ln(1)
    sheet.paragraph(at["text"]["square"], size_pt=8, soft=True)
    sheet.paragraph(at["text"]["circle"], size_pt=8, soft=True)
    sheet.pdf.set_left_margin(MARGIN_MM)
    sheet.pdf.set_xy(MARGIN_MM, max(bottom, sheet.pdf.get_y()))


def _readings(sheet: Sheet, shown: View, at: Labels) -> None:
    if not shown.readings:
        return
    columns, source = at["columns"], at["text"]["limits_source"]
    sheet.heading(at["sections"]["readings"])
    rows: list[tuple[str | Cell, ...]] = []
    for reading in shown.readings:
        outside = reading.state != "in_limits"
        state = at["state"][reading.state] if outside or reading.limits else ""
        limits = reading.limits
        if reading.source:
            limits += f"\n{source}: {reading.source}"
        rows.append(
            (reading.point, reading.value, Cell(text=state, bold=outside), limits)
        )
    head = tuple(columns[name] for name in ("point", "value", "state", "limits"))
    sheet.table(head, rows, (48, 25, 24, 83))


def _declaration(sheet: Sheet, document: Data, at: Labels, *, local_time: bool) -> None:
    content, walk, text = document["content"], document["walk"], at["text"]
    accepted = content["declaration"]["accepted"]
    sheet.room(48)
    sheet.heading(at["sections"]["declaration"])
    sheet.paragraph(document["words"]["declaration"])
    if accepted is None:
        sheet.paragraph(text["not_asked"], bold=True)
    else:
        when = time_words(walk["ended_utc"], at, local_time=local_time)
        said = text["accepted"] if accepted else text["refused"]
        sheet.paragraph(f"{said} {content['operator']}, {when}", bold=True)
    sheet.pdf.ln(9)
    third = sheet.width_mm / 3
    sheet.font(8)
    for name in ("received", "received_when", "signature"):
        x, y = sheet.pdf.get_x(), sheet.pdf.get_y()
        sheet.pdf.set_line_width(0.2)
        sheet.pdf.line(x, y, x + third - 5, y)
        sheet.pdf.cell(third, 5, sheet.shown(at["sheet"][name]))
    sheet.pdf.ln(6)


def _answers(sheet: Sheet, shown: View, at: Labels) -> None:
    sheet.heading(at["sections"]["answers"])
    if shown.too_fast:
        note = f"{shown.too_fast} {at['text']['too_fast_note']}"
        sheet.paragraph(note, bold=True)
    number = at["columns"]["number"]
    for zone in shown.zones:
        sheet.room(16)
        sheet.paragraph(zone.title, bold=True)
        cells = [
            cell for answer in zone.answers for cell in _answer(answer, number, at)
        ]
        cells += ["", ""] * (len(zone.answers) % 2)
        rows = [cells[start : start + 4] for start in range(0, len(cells), 4)]
        sheet.table((), rows, (54, 36, 54, 36), size_pt=7.5)


def _answer(answer: AnswerView, number: str, at: Labels) -> tuple[str | Cell, ...]:
    text = answer.answer
    if answer.finding:
        text += f" ({number} {answer.finding})"
    if answer.too_fast:
        text += f" [{at['text']['too_fast']}]"
    return answer.point, Cell(text=text, bold=bool(answer.finding))


def _asides(sheet: Sheet, document: Data, at: Labels) -> None:
    if document["skips"]:
        sheet.heading(at["sections"]["skips"])
        sheet.bullets(
            f"{clock_words(skip['at_utc'])} UTC  "
            f"{prompt(document, skip['checkpoint'])} {at['reason'][skip['reason']]}"
            for skip in document["skips"]
        )
    if document["notes"]:
        sheet.heading(at["sections"]["notes"])
        sheet.bullets(_notes(document, at))


def _notes(document: Data, at: Labels) -> Iterator[str]:
    for note in document["notes"]:
        point = prompt(document, note["checkpoint"])
        parts = [f"{clock_words(note['at_utc'])} UTC", point, note["text"] or ""]
        if note["clip_sha256"]:
            parts.append(
                f"{at['text']['clip']}, {note['seconds']:.1f} s, {note['clip_sha256']}"
            )
        yield "  ".join(part for part in parts if part)


def _proof(sheet: Sheet, document: Data, at: Labels) -> None:
    text, journal = at["text"], document["walk"]["journal"]
    sheet.room(44)
    sheet.heading(at["sections"]["proof"])
    rows = [
        (text["record"], document["record_id"]),
        (text["content"], document["content_sha256"]),
        (text["checklist_hash"], document["content"]["checklist"]["sha256"]),
        (
            f"{text['journal']} ({journal['entries']} {text['entries']})",
            journal["head_sha256"],
        ),
    ]
    sheet.table((), rows, (52, 128), size_pt=8)
    made = f"{text['made_by']} {document['walk']['tool_version']}."
    sheet.paragraph(f"{text['mixed']} {made}", size_pt=8, soft=True)
