"""Questions of the kind bench: a job done on the virtual bench."""

#: Keys that a plan may give under ``options``.
OPTIONS = ("steady",)
