"""Who sits at the browser: people who have signed in, on top of the site's token.

`sessions` keeps who is signed in, `signed_in` asks for it in front of a page.
What anybody may see is decided by `voicecheck.people`, which also keeps each look.
"""
