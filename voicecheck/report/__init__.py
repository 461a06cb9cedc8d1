"""Records as pages that people read. Start with `page`.

May import `voicecheck.round`, and `voicecheck.checklists` for the drawings of
machines; all words and values come from the record's JSON alone, so a page can be
made again years later.
"""
