"""A whole walk with a simulated operator who really speaks.

`scenario` decides what the machine looks like, `operator` decides what to say
and says it, `yard` makes the noise, `play` puts it together. The recogniser,
dialogue and record code is the one that a microphone feeds; nothing of what
the operator means reaches it except as sound.
"""
