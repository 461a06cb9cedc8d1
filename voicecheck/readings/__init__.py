"""Readings: what a gauge, hydrometer or meter shows, brought to what it means.

Pure computation: no files, no devices, no clock. Imports pint, scipy and
`voicecheck.errors` only. Start reading at `voicecheck.readings.units`, then at
the reading you need: tyre, battery, coolant, urea, restriction, hour_meter.

Each figure names its published source in the docstring that computes it; what
is from memory or common practice says so. The manual of the machine rules.
"""

from voicecheck.readings.errors import ReadingError

__all__ = ["ReadingError"]
