"""The walk typed at a keyboard: the same core, questions and record.

`entry` takes apart what was typed, `pages` writes what is shown, `typed_walk`
drives the walk between the two, `filling` answers it from an answers file.
Nothing here reads a keyboard, prints, or tells the time: `voicecheck.cli.form`
does. Imports `round`, the grammars, the wording of the dialogue and the port of
the store.
"""
