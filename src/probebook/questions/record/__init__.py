"""Questions of the kind record: the job record."""

#: Keys that a plan may give under ``options``.
OPTIONS = ()
