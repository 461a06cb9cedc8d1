"""A simulated trainee with known weaknesses, found again by our own figures.

`trainee` has the weaknesses and acts on them, `truths` says what the figures should
come to, `practice` lets the trainee practise in the sessions of `voicecheck.learn`,
`watched` lets an assessor watch the trainee's walk by `voicecheck.observe`, and
`recovered` holds what came out against what was put in, over many seeds. Nothing of
the trainee reaches the figures but what it answers, or what it is seen to do.
"""
