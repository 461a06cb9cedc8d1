"""What stands between a request and a page.

`gate` refuses what is too long or addressed to another name, and sets the
headers of every response; `visitor` is the signed cookie with its token against
forged forms; `secrets` makes and compares secrets; `entrance` asks for the
access token. Imports nothing of voicecheck but `server.settings`.
"""
