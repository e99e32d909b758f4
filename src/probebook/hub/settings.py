"""What a hub is started with: plain data, sent to its process on a pipe, so that no secret stands in a command."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, field
from pathlib import Path

__all__ = ["HubSettings"]


@dataclass(frozen=True, slots=True)
class HubSettings:
    """What the process of the hub is told.

    Attributes
    ----------
    pages
        User of the machine → the address of their paper's page below their server.
    folder
        The name of the folder in a home that a server serves.
    state
        A folder that only the user who runs the hub reads: its database, its cookies, what was done on benches.
    ip, port
        Where learners reach it.
    ports
        Three free ports of this machine alone: of the hub, of its proxy's own interface, of the service.
    python
        The Python of the learners' servers.
    proxy
        The program configurable-http-proxy.
    key, passphrase, scenarios
        The sealed key, what opens it, and the folder of the trade: for the service alone.
    certificate, certificate_key
        PEM files for https; empty for http.
    test_password
        Where it is not empty, everybody signs in with it, for tests; else as the machine signs in its users.
    """

    pages: dict[str, str]
    folder: str
    state: str
    ip: str
    port: int
    ports: tuple[int, int, int]
    python: str
    proxy: str
    key: str
    passphrase: str = field(repr=False)
    scenarios: str
    certificate: str = ""
    certificate_key: str = ""
    test_password: str = field(default="", repr=False)

    @property
    def host(self) -> str:
        """Where learners reach it, as it stands in an address."""
        return f"[{self.ip}]" if ":" in self.ip else self.ip

    @property
    def log(self) -> Path:
        """The file of what was done on the benches."""
        return Path(self.state) / "benches.jsonl"

    def as_text(self) -> str:
        """As it is sent: one line."""
        return json.dumps(asdict(self)) + "\n"

    @classmethod
    def from_text(cls, text: str) -> HubSettings:
        """What was sent."""
        told = json.loads(text)
        return cls(**{**told, "ports": tuple(told["ports"])})
