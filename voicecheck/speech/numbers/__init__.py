"""Which number was said: several decodes and the digit network put together.

`strings` are candidates and how far apart they lie, `evidence` is what speaks for
each, `weighing` turns it into one posterior. What digit words mean is in
`grammar.numbers`.
"""
