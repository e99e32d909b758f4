"""Questions of the kind miswire: which connection is wrong."""

#: Keys that a plan may give under ``options``.
OPTIONS = ()
