"""The three ports of a hub that this machine alone reaches: root alone may listen there, and a new start has the same.

Whoever listens at one of them while the hub is away would be sent the tokens of learners' servers, which outlive a hub
that was killed.
"""

from __future__ import annotations

import json
import random
import socket
from collections.abc import Iterable
from contextlib import ExitStack, suppress
from pathlib import Path

from probebook.errors import UsageError
from probebook.files import write_all

__all__ = ["take_ports"]

#: Ports below the first that anybody may listen at, few of which are a service's; how many a hub needs.
LOWEST, HIGHEST, NEEDED = 600, 1023, 3
#: Where Linux says what the first one is.
FIRST = Path("/proc/sys/net/ipv4/ip_unprivileged_port_start")


def take_ports(state: Path) -> tuple[int, int, int]:
    """Three ports at which nobody listens; those of an earlier start where that is so of them, kept in ``state``.

    Where this machine lets everybody listen at low ports, they are whatever is free.

    Raises
    ------
    UsageError
        Three are not free, or the file of them cannot be written.
    """
    file = state / "ports.json"
    low = [port for port in range(LOWEST, min(_first(), HIGHEST + 1)) if not _is_named(port)]
    low = random.sample(low, len(low)) if len(low) >= NEEDED else []
    given = low or [0] * NEEDED
    kept = [port for port in _kept(file) if port in low or not low]
    with ExitStack() as held:
        # A kept one that somebody listens at gives its place to a new one, and the others stay where they are.
        places = [_listen(port, held) if port else 0 for port in (kept + [0] * NEEDED)[:NEEDED]]
        others = (found for port in given if (found := _listen(port, held)))
        ports = [port or next(others, 0) for port in places]
    if not all(ports):
        raise UsageError(
            "no three ports are free for the hub itself", where=f"ports {LOWEST} to {HIGHEST}", remedy="free some"
        )
    write_all({file: json.dumps(ports) + "\n"}, private={file})
    one, two, three = ports
    return one, two, three


def _first() -> int:
    """The first port at which anybody may listen."""
    try:
        return int(FIRST.read_text("ascii"))
    except (OSError, ValueError):
        return HIGHEST + 1


def _is_named(port: int) -> bool:
    """Whether a service of this machine's list has the port."""
    with suppress(OSError):
        return bool(socket.getservbyport(port))
    return False


def _listen(port: int, held: ExitStack) -> int:
    """Listen at a port until all are found; 0 where that cannot be done."""
    try:
        return int(held.enter_context(socket.create_server(("127.0.0.1", port))).getsockname()[1])
    except OSError:
        return 0


def _kept(file: Path) -> Iterable[int]:
    try:
        found = json.loads(file.read_bytes())
    except (OSError, ValueError, RecursionError):
        return ()
    if not isinstance(found, list) or not all(type(port) is int and 0 < port < 1 << 16 for port in found):
        return ()
    return found
