"""Watching a walk and judging it: planted faults, marks, result, decision.

    scenario.py      what was planted, checked against the checklist
    criteria.py      what has to be reached, as data; a site can only tighten it
    seal.py          the scenario closed before the walk, held against it afterwards
    marks.py         what the assessor marks while the trainee walks
    events.py        what else happens to an observation
    observation.py   the fold of all events, whatever order they come in
    result.py        what the walk showed, in figures with their intervals
    decision.py      what follows from the criteria, with reasons

Everything personal is kept by `voicecheck.people`; `keeping.py` is the way there.
"""
