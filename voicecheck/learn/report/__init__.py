"""A learner's progress as terminal view, page and PDF, from one list of parts."""
