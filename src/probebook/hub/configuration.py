"""The configuration of JupyterHub for a class that sits a paper on one machine."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path
from subprocess import DEVNULL
from typing import Any

from traitlets.config import Config

from probebook.hub.learners import RUNTIME, home_of
from probebook.hub.settings import HubSettings
from probebook.page.opening import RETURNED

__all__ = ["BENCH", "configuration"]

#: The name of the service that has the benches, and what a learner and a learner's server need to ask it.
BENCH = "bench"
ASKING = f"access:services!service={BENCH}"
#: How long (seconds) a server may take to start when a whole class starts, and to end by itself.
STARTING, ENDING = 300, 5
#: How many processes and threads a learner may have (a server and a kernel have some tens, and one more for each
#: processor), and how long (bytes) a file of theirs may be.
MOST_TASKS, LONGEST_FILE = 1_000, 200_000_000
#: Of what may be installed beside Jupyter's server, a paper needs this much.
EXTENSIONS = {
    "probebook.page": True,
    "probebook.assessment.sitting": True,
    "jupyter_lsp": False,
    "jupyter_server_terminals": False,
    "jupyterlab": False,
    "notebook": False,
    "notebook_shim": False,
}


def configuration(told: HubSettings) -> Config:
    """All that JupyterHub is told; it reads no file of its own beside this."""
    hub, proxy, bench = told.ports
    state = Path(told.state)
    c = Config()
    c.JupyterHub.bind_url = f"{'https' if told.certificate else 'http'}://{told.host}:{told.port}"
    c.JupyterHub.hub_bind_url = f"http://127.0.0.1:{hub}"
    c.ConfigurableHTTPProxy.api_url = f"http://127.0.0.1:{proxy}"
    c.ConfigurableHTTPProxy.command = [told.proxy]
    c.ConfigurableHTTPProxy.pid_file = str(state / "proxy.pid")
    if told.certificate:
        c.JupyterHub.ssl_cert, c.JupyterHub.ssl_key = told.certificate, told.certificate_key
    c.JupyterHub.db_url = f"sqlite:///{state / 'hub.sqlite'}"
    c.JupyterHub.cookie_secret_file = str(state / "cookie-secret")
    c.JupyterHub.log_level = "WARN"
    c.JupyterHub.cleanup_servers = c.JupyterHub.cleanup_proxy = True
    c.JupyterHub.load_roles = [
        {"name": "user", "scopes": ["self", ASKING]},
        {"name": "server", "scopes": ["users:activity!user", "access:servers!server", ASKING]},
    ]
    c.JupyterHub.services = [_service(told, bench)]
    _sign_in(c, told)
    _servers(c, told)
    return c


def _service(told: HubSettings, port: int) -> dict[str, Any]:
    from probebook.hub.service import KEY, LOG, SCENARIOS, SECRET

    return {
        "name": BENCH,
        "url": f"http://127.0.0.1:{port}",
        "command": [sys.executable, "-m", "probebook.hub.service"],
        "environment": {KEY: told.key, SECRET: told.passphrase, LOG: str(told.log), SCENARIOS: told.scenarios},
        "cwd": told.state,
        "display": False,
    }


def _sign_in(c: Config, told: HubSettings) -> None:
    """Only learners of the class sign in, as the machine knows them; nobody is an administrator."""
    c.Authenticator.allowed_users = set(told.pages)
    c.Authenticator.admin_users = set()
    c.Authenticator.allow_existing_users = False  # of a class that sat here before
    if told.test_password:
        c.JupyterHub.authenticator_class = "dummy"
        c.DummyAuthenticator.password = told.test_password
    else:
        c.JupyterHub.authenticator_class = "pam"
        c.PAMAuthenticator.open_sessions = False


def _limits() -> list[str]:
    """What a learner's processes may do to a machine that others sit at too; nothing where the command is not there."""
    found = shutil.which("prlimit")
    return [found, f"--nproc={MOST_TASKS}", f"--fsize={LONGEST_FILE}"] if found else []


def _servers(c: Config, told: HubSettings) -> None:
    """A server for each learner, as themselves, which shows their paper and has no terminal and no JupyterLab.

    Kernels are spoken to over sockets in a folder of the learner's own: whoever is on the machine may listen to a port.
    """
    c.JupyterHub.spawner_class = "localprocess"
    c.Spawner.cmd = [*_limits(), told.python, "-m", "probebook.hub.server"]
    c.Spawner.args = [
        f"--ServerApp.jpserver_extensions={EXTENSIONS!r}",
        "--ServerApp.terminals_enabled=False",
        "--KernelManager.transport=ipc",
        "--ZMQChannelsWebsocketConnection.iopub_data_rate_limit=100_000_000.0",
        "--Application.log_level=ERROR",
    ]
    nowhere = dict.fromkeys(("stdin", "stdout", "stderr"), DEVNULL)  # the hub's own log is not theirs to write
    c.LocalProcessSpawner.popen_kwargs = nowhere
    c.Spawner.notebook_dir = f"~/{told.folder}"
    c.Spawner.start_timeout = c.Spawner.http_timeout = STARTING
    c.LocalProcessSpawner.interrupt_timeout = c.LocalProcessSpawner.term_timeout = ENDING
    c.Spawner.environment = {
        "JUPYTERHUB_SINGLEUSER_APP": "jupyter_server.serverapp.ServerApp",
        "JUPYTER_PREFER_ENV_PATH": "1",
        "PYTHONSAFEPATH": "1",
        "PROBEBOOK_BENCH": f"http://127.0.0.1:{told.ports[2]}/services/{BENCH}",
        **RETURNED,
    }

    def own(spawner: Any) -> None:
        name = spawner.user.name
        spawner.default_url = told.pages[name]
        spawner.environment = {**spawner.environment, "JUPYTER_RUNTIME_DIR": str(home_of(name) / RUNTIME)}

    c.Spawner.pre_spawn_hook = own
