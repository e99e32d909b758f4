"""What JupyterHub is told, and what is refused before anything is started."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest
from click.testing import CliRunner
from hubs import PASSPHRASE, Set

from probebook.assessment.model import Learner
from probebook.cases.library import Library
from probebook.cli.hub import command
from probebook.errors import UsageError
from probebook.hub import checking, opening
from probebook.hub.options import HubOptions
from probebook.hub.papers import Sitting
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
    assert c.Spawner.cmd[-3:] == ["/opt/python", "-m", "probebook.hub.server"]
    assert c.Spawner.cmd[:-3] in ([], [shutil.which("prlimit"), "--nproc=1000", "--fsize=200000000"])
    assert HubSettings.from_text(TOLD.as_text()) == TOLD


def test_an_address_of_colons_stands_in_brackets() -> None:
    """As every address on the web has it."""
    assert configuration(replace(TOLD, ip="::1")).JupyterHub.bind_url == "http://[::1]:8000"
    assert configuration(TOLD).JupyterHub.bind_url == "http://127.0.0.1:8000"


def test_a_python_that_does_not_run_is_told_in_plain_signs(monkeypatch: pytest.MonkeyPatch) -> None:
    """What it says may be a learner's doing: no sign that steers a terminal, and no more than a line."""
    said = SimpleNamespace(returncode=1, stderr="x\n\x1b[2J\u202e" + "y" * 5000)
    monkeypatch.setattr(checking.subprocess, "run", lambda *_, **__: said)
    with pytest.raises(UsageError) as caught:
        checking.check_python("/opt/python", Learner("nobody", "A"))
    assert str(caught.value).isascii()
    assert "\\x1b[2J\\u202ey" in caught.value.message
    assert len(caught.value.message) < 300


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


def test_an_open_folder_for_hand_ins_is_refused(
    two: Set, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, trade: Library
) -> None:
    """One that is there and that others may look into, before anything is started; no paper is put anywhere."""
    monkeypatch.setattr(opening, "check_machine", lambda: None)
    monkeypatch.setattr(opening, "find_proxy", lambda _: "/opt/proxy")
    monkeypatch.setattr(opening, "make_users", lambda *_: pytest.fail("users were made"))
    tmp_path.chmod(0o755)
    options = HubOptions(collect=tmp_path, make_users=tmp_path / "users.csv")
    with pytest.raises(UsageError, match="chmod 700") as caught:
        opening.open_hub(two.folder, two.key, PASSPHRASE, options, lambda _: trade)
    assert caught.value.where == str(tmp_path)


def test_one_password_for_all_is_for_this_machine(
    two: Set, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, trade: Library
) -> None:
    """It is refused where others reach the hub, and where others read it; so is a certificate's key they read."""
    monkeypatch.setattr(opening, "check_machine", lambda: None)
    monkeypatch.setattr(opening, "find_proxy", lambda _: "/opt/proxy")
    secret = tmp_path / "secret"
    secret.write_text("x", "utf-8")

    def refused(options: HubOptions) -> str:
        with pytest.raises(UsageError) as caught:
            opening.open_hub(two.folder, two.key, PASSPHRASE, options, lambda _: trade)
        return str(caught.value)

    secret.chmod(0o644)
    assert "chmod 600" in refused(HubOptions(test_password=secret))
    assert "chmod 600" in refused(HubOptions(certificate=secret, certificate_key=secret))
    secret.chmod(0o600)
    assert "for trials on this machine alone" in refused(HubOptions(test_password=secret, ip="0.0.0.0"))
    assert "there is no such file" in refused(HubOptions(test_password=tmp_path / "none"))


def test_what_stays_with_the_command_holds_no_secret(two: Set) -> None:
    """Of a set it keeps names alone, and what it has sent is not shown of it."""
    kept = repr(Sitting.of(two.papers))
    assert two.name(0) in kept
    assert two.job(0).question.bench not in kept
    assert not any(item.id in kept for item in two.papers.papers[0].items)
    assert PASSPHRASE not in repr(TOLD)


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
