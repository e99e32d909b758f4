"""Questions of the kind order: steps in their order.

Options
-------
procedure
    Id of the procedure; one for the person when left out.
form
    The same.
person
    ``apprentice``, ``owner`` or ``licensed``: whose procedures are drawn from.
"""

#: Keys that a plan may give under ``options``.
OPTIONS = ("procedure", "form", "person")
