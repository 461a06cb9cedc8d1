"""What devices push to, off unless `voicecheck serve --accept-push` is given.

`door` asks for the push token before anything is read, `unpacking` takes gzip
apart within bounds, `routes` has the three addresses. They know no pages, no
cookies and no visitors; what they do is `voicecheck.store.far_end`.
"""
