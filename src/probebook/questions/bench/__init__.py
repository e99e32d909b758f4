"""Questions of the kind bench: a job done on the virtual bench.

Options
-------
steady
    Whether an instrument errs alike in all its readings, as a bench that runs from a table needs.
"""

#: Keys that a plan may give under ``options``.
OPTIONS = ("steady",)
