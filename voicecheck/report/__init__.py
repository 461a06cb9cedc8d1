"""Records as pages that people read. Start with `page`.

May import `voicecheck.round`; a page is made from the record's JSON alone, so it
can be made again years later.
"""
