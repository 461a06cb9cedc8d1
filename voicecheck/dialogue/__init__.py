"""Turns of the spoken walk: prompts, answers, read-back, silence, mistakes.

`machine` is the state machine, `conversation` drives it and the walk,
`confirmation` decides what to do with something heard, `wording` holds what
is said, `runner` plays turns on a sound link. Words are those of VoiceXML 2.1
(noinput, nomatch, help, filled).

Imports `round` and the ports of `speech`, `audio` and `store`; no library of
sound or speech.
"""
