"""People and their personal results, stored apart from the journal.

A learner's results are the learner's: `roles` says who may see what, `store` keeps
events and shows them to those with the right, `looks` remembers each look,
`erasing` takes a person out again, and `codes` lets a person in. Bodies of events
are the business of the room that writes them. May import the errors, the clock, the
settings, and from the store only how a database is opened.
"""
