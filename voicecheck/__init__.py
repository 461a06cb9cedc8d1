"""voicecheck: a hands-free walkaround inspection, spoken or typed.

Start reading at `voicecheck.round` (the pure core), then `voicecheck.dialogue`.
"""

__version__ = "0.1.0"
