"""How far apart the phrases of a question sound, and which lie too close.

`pronunciation` looks phrases up, `features` says how unlike two phones are,
`distance` compares phrases, `meanings` says what a mix-up would do, `survey`
lists the risky pairs of every question with suggestions, `lint` refuses
grammars, `confusions` reads what a recogniser really mixed up.
"""
