"""What may be said: JSGF files, one a question, and what the phrases mean.

`files` reads them, `numbers` turns digit words into values and back,
`active` puts together what may be said at one moment, `compile` writes it
for each engine.
"""
