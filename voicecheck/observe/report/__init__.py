"""Results, debriefs, comparisons and courses as pages and PDF.

One list of parts (`parts.py`) for page and PDF, so that both say the same:
`result_parts`, `debrief_parts`, `compare_parts`, `course_parts` make it,
`page.py` and `pdf.py` write it.
"""
