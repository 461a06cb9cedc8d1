"""Repairs and releases in a browser: the same steps as with the commands.

`forms` reads what was typed, `views` draws the pages of a defect and of a machine
out of service; the addresses are in `server.pages.workshop` and `.release`.
"""
