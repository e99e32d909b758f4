"""What a tutor says of a hub."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

__all__ = ["LOOPBACK", "HubOptions"]

#: Addresses that only this machine reaches.
LOOPBACK = ("127.0.0.1", "localhost", "::1")


@dataclass(frozen=True, slots=True)
class HubOptions:
    """What a tutor says of a hub.

    Attributes
    ----------
    ip, port
        Where learners reach it.
    collect
        Where hand-ins go; ``collected`` in the class's folder where None.
    make_users
        Where the passwords of learners go who are made users of the machine; None where all are.
    python, proxy
        The Python of the learners' servers, and the proxy; found where None.
    certificate, certificate_key
        PEM files for https.
    test_password
        A file with the one password of a test; None for the machine's own.
    """

    ip: str = "127.0.0.1"
    port: int = 8000
    collect: Path | None = None
    make_users: Path | None = None
    python: Path | None = None
    proxy: Path | None = None
    certificate: Path | None = None
    certificate_key: Path | None = None
    test_password: Path | None = None
