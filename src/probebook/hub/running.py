"""The process of the hub: a line on standard input says what to start; it ends when told to, or when that closes."""

from __future__ import annotations

import os
import signal
import sys
import threading

from probebook.hub.configuration import configuration
from probebook.hub.settings import HubSettings

__all__ = ["main"]


def main() -> None:
    """Run JupyterHub."""
    from jupyterhub.app import JupyterHub

    told = HubSettings.from_text(sys.stdin.readline())
    threading.Thread(target=_end_with_input, daemon=True).start()
    JupyterHub.instance(config=configuration(told))
    JupyterHub.launch_instance([])


def _end_with_input() -> None:
    """Stop as when told to, servers and all, when whoever started the hub is gone."""
    sys.stdin.read()
    os.kill(os.getpid(), signal.SIGTERM)


if __name__ == "__main__":
    main()
