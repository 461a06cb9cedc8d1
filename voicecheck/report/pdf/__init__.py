"""Reports as PDF files. `walk` is one record, `tag` the sheet for a machine.

`sheet` knows the PDF library; the others only say what stands where.
"""
