"""Questions of the kind replacement: which part from stock.

Options
-------
part
    Mark of the part to be replaced.
"""

#: Keys that a plan may give under ``options``.
OPTIONS = ("part",)
