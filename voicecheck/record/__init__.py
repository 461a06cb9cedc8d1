"""The record of a walk as a document, and the answers file.

Pure functions over the core's data; only `answers_file.load` opens a file. May
import `voicecheck.round`, nothing further out. Start with `document`.
"""
