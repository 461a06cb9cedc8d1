"""From sound to meaning and from text to sound, behind small ports.

Start with `ports`. `grammar/` says what may be said, `listener` cuts an
utterance out of the microphone, the `*_recogniser` modules are adapters of
one library each, `engines` picks one, `synthesiser` speaks.
"""
