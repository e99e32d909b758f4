"""The server of one learner: JupyterHub's own, without what a paper has no use for and every start would pay for.

The hub starts it as the learner (``python -m probebook.hub.server``).
"""

from __future__ import annotations

import sys

__all__ = ["main"]

#: A library that checks one format of addresses in events, and works its grammar out for two seconds of every start;
#: who asks for it does without where it is missing.
SLOW = "rfc3987_syntax"


def main() -> None:
    """Serve until told to stop."""
    sys.modules.setdefault(SLOW, None)  # type: ignore[arg-type]
    from jupyterhub.singleuser import main as serve

    serve()


if __name__ == "__main__":
    main()
