"""A learner's progress as terminal view, page and PDF, from one list of parts."""

from voicecheck.learn.report.page import body, page
from voicecheck.learn.report.pdf import pdf
from voicecheck.learn.report.view import View, view

__all__ = ["View", "body", "page", "pdf", "view"]
