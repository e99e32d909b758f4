"""Questions of the kind next-test: which test to make next.

Options
-------
after
    How many observations of the case are known before the test is chosen (a number).
slip
    Id of the slip that must be on offer.
"""

#: Keys that a plan may give under ``options``.
OPTIONS = ("after", "slip")
