"""The pages that a browser shows: walks, units, defects, records, a live view.

Start with `app.create_app`. `security` guards every request, `walks` drives the
same typed walk as the keyboard, `live` follows a journal, `pages` has one module
for each group of addresses, `view` works out what a page shows. Texts lie in
`texts`, the look in `static`; nothing is fetched from elsewhere. May import
everything but `voicecheck.cli`.
"""
