"""Questions of the kind fault: which fault explains everything."""

#: Keys that a plan may give under ``options``.
OPTIONS = ()
