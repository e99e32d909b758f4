"""Where a hub listens for itself: at ports that no learner can take while it is away, and at the same ones again."""

from __future__ import annotations

import json
import os
import socket
from pathlib import Path

import pytest

from probebook.errors import UsageError
from probebook.hub import ports

ROOT = pytest.mark.skipif(os.geteuid() != 0, reason="root alone listens at low ports")


@pytest.fixture
def guarded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A machine on which root alone listens below 1024; the folder of a hub's state."""
    (tmp_path / "first").write_text("1024\n", "ascii")
    monkeypatch.setattr(ports, "FIRST", tmp_path / "first")
    return tmp_path


@ROOT
def test_no_learner_may_listen_there(guarded: Path) -> None:
    """Three, below 1024, none of which is a known service's."""
    found = ports.take_ports(guarded)
    assert len(set(found)) == 3
    assert all(600 <= port < 1024 for port in found)
    assert 631 not in {port for _ in range(20) for port in ports.take_ports(guarded)}
    assert (guarded / "ports.json").stat().st_mode & 0o777 == 0o600


@ROOT
def test_a_new_start_has_the_same(guarded: Path) -> None:
    """But for one at which somebody listens meanwhile; then the new one is kept."""
    found = ports.take_ports(guarded)
    assert ports.take_ports(guarded) == found
    with socket.create_server(("127.0.0.1", found[1])):
        again = ports.take_ports(guarded)
    assert (again[0], again[2]) == (found[0], found[2])
    assert again[1] not in found
    assert ports.take_ports(guarded) == again


@ROOT
@pytest.mark.parametrize("content", [b"", b"{}", b"[1, 2", b"[true, 80, 90]", b"[0, 70000, -1]", b"[8888, 8889, 8890]"])
def test_a_file_of_ports_that_is_none_is_not_heeded(content: bytes, guarded: Path) -> None:
    """Nor are ports in it at which anybody may listen."""
    (guarded / "ports.json").write_bytes(content)
    found = ports.take_ports(guarded)
    assert all(600 <= port < 1024 for port in found)
    assert json.loads((guarded / "ports.json").read_bytes()) == list(found)


def test_where_anybody_listens_anywhere_any_will_do(guarded: Path) -> None:
    """A machine that was told so has no ports of root's; the same are taken again all the same."""
    (guarded / "first").write_text("0\n", "ascii")
    found = ports.take_ports(guarded)
    assert len(set(found)) == 3
    assert min(found) >= 1024
    assert ports.take_ports(guarded) == found


def test_none_that_is_free_is_said(guarded: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In one sentence, and nothing is written."""

    def taken(*_: object) -> None:
        raise OSError

    monkeypatch.setattr(ports.socket, "create_server", taken)
    with pytest.raises(UsageError, match="no three ports are free"):
        ports.take_ports(guarded)
    assert not (guarded / "ports.json").exists()
