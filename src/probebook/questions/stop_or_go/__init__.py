"""Questions of the kind stop-or-go: whether one may go on.

Options
-------
situation
    Id of the situation; one for the person when left out.
person
    ``apprentice``, ``owner`` or ``licensed``: whose situations are drawn from.
form
    The same.
outcome
    Id of an outcome: only situations that teach it are drawn from.
"""

#: Keys that a plan may give under ``options``.
OPTIONS = ("situation", "person", "form", "outcome")
