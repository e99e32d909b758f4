"""What JupyterHub is told, and what is refused before anything is started."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner
from hubs import PASSPHRASE, Set

from probebook.cli.hub import command
from probebook.errors import UsageError
from probebook.hub import checking
from probebook.hub.settings import HubSettings

pytest.importorskip("jupyterhub")

from probebook.hub.configuration import configuration

TOLD = HubSettings(
    pages={"ada": "/probebook/paper/x-ada"},
    folder="paper-00",
    state="/var/none",
    ip="127.0.0.1",
    port=8000,
    ports=(1, 2, 3),
    python="/opt/python",
    proxy="/opt/proxy",
    key="/var/none/x.key",
    passphrase=PASSPHRASE,
    scenarios="/opt/scenarios",
)


def test_only_the_class_signs_in_as_the_machine_knows_it() -> None:
    """PAM unless a test's password is given; learners alone, no administrator, servers as themselves."""
    c = configuration(TOLD)
    assert c.JupyterHub.authenticator_class == "pam"
    assert c.Authenticator.allowed_users == {"ada"}
    assert c.Authenticator.admin_users == set()
    assert c.Authenticator.allow_existing_users is False
    assert c.JupyterHub.spawner_class == "localprocess"
    tested = configuration(HubSettings.from_text(TOLD.as_text().replace('"test_password": ""', '"test_password": "x"')))
    assert tested.JupyterHub.authenticator_class == "dummy"
    assert tested.DummyAuthenticator.password == "x"


def test_the_passphrase_goes_to_the_service_alone() -> None:
    """It is in the environment of the service; no server of a learner and no command has it."""
    c = configuration(TOLD)
    (service,) = c.JupyterHub.services
    assert PASSPHRASE in service["environment"].values()
    assert PASSPHRASE not in str(service["command"]) + str(c.Spawner)
    assert "access:services!service=bench" in c.JupyterHub.load_roles[1]["scopes"]


def test_a_server_has_no_terminal_no_lab_and_no_port_for_its_kernels() -> None:
    """Kernels are spoken to over sockets; what is installed beside is not loaded; the settings survive the pipe."""
    c = configuration(TOLD)
    assert "--ServerApp.terminals_enabled=False" in c.Spawner.args
    assert "--KernelManager.transport=ipc" in c.Spawner.args
    assert "'jupyterlab': False" in c.Spawner.args[0]
    assert c.Spawner.cmd == ["/opt/python", "-m", "probebook.hub.server"]
    assert HubSettings.from_text(TOLD.as_text()) == TOLD


def test_what_others_may_read_is_refused(tmp_path: Path) -> None:
    """A folder or a key with rights for others: the sentence says how to close it."""
    tmp_path.chmod(0o755)
    with pytest.raises(UsageError, match="chmod 700"):
        checking.check_closed(tmp_path)
    key = tmp_path / "x.key"
    key.write_text("x", "utf-8")
    key.chmod(0o644)
    with pytest.raises(UsageError, match="chmod 600"):
        checking.check_sealed(key)
    tmp_path.chmod(0o700)
    key.chmod(0o600)
    checking.check_closed(tmp_path)
    checking.check_sealed(key)


def test_a_proxy_that_is_not_there_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """With how to come by it."""
    monkeypatch.setattr(shutil, "which", {}.get)
    with pytest.raises(UsageError, match="npm install --global configurable-http-proxy"):
        checking.find_proxy(None)


def test_who_is_not_root_is_told(monkeypatch: pytest.MonkeyPatch, two: Set) -> None:
    """Nothing is asked for and nothing is started."""
    monkeypatch.setattr(checking.os, "geteuid", lambda: 1000)
    line = [str(two.folder), "--key", str(two.key)]
    found = CliRunner().invoke(command, line, env={"PROBEBOOK_PASSPHRASE": PASSPHRASE})
    assert isinstance(found.exception, UsageError)
    assert "which root alone may do" in str(found.exception)


def test_a_certificate_needs_its_key(two: Set) -> None:
    """One without the other is refused before the passphrase is asked for."""
    found = CliRunner().invoke(command, [str(two.folder), "--key", str(two.key), "--certificate", "x.pem"])
    assert "a certificate and its key go together" in str(found.exception)


def test_set_leaves_the_readings_to_the_service(two: Set, tmp_path: Path) -> None:
    """With ``--bench-from service`` the paper has no table, the tutor is told, and the key says so to the hub."""
    from probebook.api.assessing import open_key
    from probebook.cli.set import command as set_command

    (tmp_path / "class.csv").write_text("id,name\nada,Ada Lamp\n", "utf-8")
    line = [str(two.folder.parent / "on-the-bench.toml"), "--class", str(tmp_path / "class.csv")]
    line += ["--out", str(tmp_path / "june"), "--bench-from", "service", "--jobs", "1"]
    found = CliRunner().invoke(set_command, line, env={"PROBEBOOK_PASSPHRASE": PASSPHRASE}, catch_exceptions=False)
    assert "A bench is asked of the hub" in found.output
    assert "A bench is carried as a table" not in found.output
    (key,) = (tmp_path / "june").glob("*.key")
    assert open_key(key, PASSPHRASE).blueprint.asks_service
    assert len((tmp_path / "june" / "papers" / "on-the-bench-ada.ipynb").read_bytes()) < 120_000
