"""Watch the noise at the microphone all the time that the program listens.

`bands` measures one block, `quantile_floor` follows the noise below the
speech, `loudness` decides when it is too loud to hear reliably and when it is
quiet again, `watch` puts the three together.

While the program itself plays a sound nothing is counted: on a loudspeaker it
would measure its own voice.
"""
