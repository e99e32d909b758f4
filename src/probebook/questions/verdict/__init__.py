"""Questions of the kind verdict: within a limit, outside it, or not to be told.

Options
-------
form
    What is judged; ``power`` when left out.
part
    Name of the load it is about, such as ``E2.heater``.
rule
    Role of the limit, such as ``insulation.class-i``.
verdict
    ``within``, ``outside`` or ``cannot``: what the key is to be.
reader
    ``owner`` asks it as an owner meets it.
"""

#: Keys that a plan may give under ``options``.
OPTIONS = ("form", "part", "rule", "verdict", "reader")
