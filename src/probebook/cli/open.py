"""``probebook open``: the workbooks in a page of our own, or in JupyterLab, running and ready to be answered."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from probebook import stopping
from probebook.putting_off import put_off_grammars

if TYPE_CHECKING:
    from types import FrameType

__all__ = ["command", "find_workbook", "server_options"]

#: What JupyterLab is given by us: the extension that runs workbooks, and settings that stand below the user's own.
LAB = Path(__file__).resolve().parents[1] / "lab"

#: What a page that is not ours may load, JupyterLab's among them: no picture, film, style, font, frame or connection
#: from anywhere else, whatever the text of a notebook asks for; JupyterLab itself keeps scripts out of text. Our own
#: pages, and what the server says of files, are told less than this (``page.frame``).
OWN = "'self'"
MAY_LOAD: dict[str, tuple[str, ...]] = {
    "img-src": (OWN, "data:", "blob:"),
    "media-src": (OWN, "data:", "blob:"),
    "style-src": (OWN, "'unsafe-inline'"),
    "font-src": (OWN, "data:"),
    "frame-src": (OWN, "data:", "blob:"),
    "connect-src": (OWN,),
    "object-src": ("'none'",),
    "base-uri": (OWN,),
    "form-action": (OWN,),
    "frame-ancestors": (OWN,),
}
POLICY = "; ".join(" ".join((what, *places)) for what, places in MAY_LOAD.items())
#: How long (seconds) the kernel of a workbook whose page was closed is kept.
REST = 3600


@click.command("open")
@click.argument("workbook", required=False)
@click.option(
    "--dir",
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path("workbooks"),
    metavar="DIR",
    help="Folder of the workbooks (default: ./workbooks).",
)
@click.option("--lab", is_flag=True, help="Open in JupyterLab instead of a page of our own.")
@click.option("--no-browser", is_flag=True, help="Start the server and print its address only.")
@click.option("--port", type=click.IntRange(1, 65535), default=8888, help="First port to try (default: 8888).")
@click.option("--language", default="en", show_default=True, metavar="ID", help="Language of what is printed here.")
@click.option("--allow-root", is_flag=True, help="Start as root too (in a container).")
def command(
    workbook: str | None, folder: Path, lab: bool, no_browser: bool, port: int, language: str, allow_root: bool
) -> None:
    """Open WORKBOOK (any part of its name will do), or the page where all workbooks and your progress stand.

    The workbook runs by itself, in the language it was built in. Answers are kept beside it. Ctrl-C stops everything. A
    paper that was set is opened in the same way, by its name with --dir or by its path; its time runs from then on.
    """
    if workbook and Path(workbook).suffix == ".ipynb" and Path(workbook).is_file():
        folder = Path(workbook).parent
    target = find_workbook(workbook, folder)
    if not allow_root and getattr(os, "geteuid", lambda: 1)() == 0:
        from probebook.errors import UsageError

        raise UsageError(
            "as root the pages are not served", where="open", remedy="open as another user, or add --allow-root"
        )
    options = server_options(target, folder, port, lab=lab)
    options += ["--no-browser"] * no_browser + ["--allow-root"] * allow_root
    _serve(options, target.name if target else "", language)


def find_workbook(workbook: str | None, folder: Path) -> Path | None:
    """The one notebook in ``folder`` that is meant; None for the folder itself.

    A path will do, a whole name, or any part of one.

    Raises
    ------
    UsageError
        No notebook is there, none fits, or several fit.
    """
    from probebook.errors import UsageError

    found = sorted(folder.glob("*.ipynb"), key=lambda path: path.stem)
    if not found:
        raise UsageError("there are no workbooks", where=str(folder), remedy="run 'probebook build' first")
    if not workbook:
        return None
    wanted = Path(workbook).name.removesuffix(".ipynb")
    matching = [path for path in found if path.stem == wanted] or [path for path in found if wanted in path.stem]
    if len(matching) == 1:
        return matching[0]
    count = "no workbook" if not matching else f"{len(matching)} workbooks"
    names = ", ".join(path.stem for path in (matching or found))
    raise UsageError(f"'{workbook}' names {count}", where=str(folder), remedy=f"choose one of {names}")


def server_options(target: Path | None, folder: Path, port: int, *, lab: bool = False) -> list[str]:
    """The command line of a server that gives ``folder`` to this machine alone and shows ``target``.

    Without ``lab`` it is shown in a page of our own. It asks nobody for news, updates or extensions. The port is the
    first one to try.
    """
    from urllib.parse import quote

    if lab:
        shown = f"/doc/tree/{quote(target.name)}" if target else "/lab"
    else:
        kind = "paper" if target and _is_paper(target) else "workbook"
        shown = f"/probebook/{kind}/{quote(target.stem)}" if target else "/probebook/"
    # A kernel that serves no page any more is stopped after a while: answers are on disk, drafts in the browser.
    resting = [] if lab else [f"--MappingKernelManager.cull_idle_timeout={REST}"]
    return [
        *resting,
        "--ServerApp.ip=localhost",
        f"--ServerApp.port={port}",
        f"--ServerApp.root_dir={folder.resolve()}",
        f"--LabApp.default_url={shown}",
        "--ServerApp.jpserver_extensions={'probebook.page': True, 'probebook.assessment.sitting': True}",
        f"--ServerApp.tornado_settings={ {'headers': {'Content-Security-Policy': POLICY}}!r}",
        f"--LabApp.extra_labextensions_path={LAB / 'labextensions'}",
        # All forms of a workbook, benches with their drawings, come in one message.
        "--ZMQChannelsWebsocketConnection.iopub_data_rate_limit=100_000_000.0",
        "--LabApp.news_url=None",
        "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
        "--LabApp.extension_manager=readonly",
        "--Application.log_level=ERROR",
    ]


def _end_kernels(server: Any) -> None:
    """End what is left of the kernels: what they were told is on disk, and idle ones have ended by themselves."""
    for kernel in server.kernel_manager.list_kernel_ids():
        with suppress(OSError):
            stopping.end_kernel(server.kernel_manager.get_kernel(kernel))


def _is_paper(target: Path) -> bool:
    from probebook.api.assessing import is_paper

    return is_paper(target)


def _serve(options: Sequence[str], name: str, language: str) -> None:
    """Run the server until Ctrl-C; windows and tabs of earlier days are left alone and left out."""
    import secrets
    import signal

    from probebook.api import load_library, reports
    from probebook.api.files import RETURNED, fits_sockets, scratch

    words = load_library(language=language).words
    # Our settings stand below those the user has chosen, and this Python's kernel before any other.
    paths = [str(LAB / "config"), os.environ.get("JUPYTER_CONFIG_PATH", "")]
    os.environ["JUPYTER_CONFIG_PATH"] = os.pathsep.join(filter(None, paths))
    os.environ.setdefault("JUPYTER_PREFER_ENV_PATH", "1")
    # A kernel starts in the notebook's folder: no module that lies there is to run in its first imports.
    os.environ["PYTHONSAFEPATH"] = "1"
    for setting, size in RETURNED.items():
        os.environ.setdefault(setting, size)

    token = secrets.token_hex(24)
    with scratch() as place:
        os.environ["JUPYTER_RUNTIME_DIR"] = str(place)
        ours = [f"--IdentityProvider.token={token}", f"--LabApp.workspaces_dir={place}/workspaces"]
        if fits_sockets(place):
            ours.append("--KernelManager.transport=ipc")

        put_off_grammars()
        from jupyterlab.labapp import LabApp  # type: ignore[import-untyped]

        server: Any = LabApp.initialize_server(argv=[*options, *ours])

        def stop(number: int, frame: FrameType | None) -> None:
            del number, frame
            stopping.end_soon(reports.stopped_line(words))
            server.stop(from_signal=True)

        stopping.let_go()
        signal.signal(signal.SIGINT, stop)
        signal.signal(signal.SIGTERM, stop)
        address = f"http://localhost:{server.port}{server.default_url}?token={token}"
        click.echo("\n".join(reports.open_lines(name, address, words)))
        sys.stdout.flush()
        with stopping.at_once(lambda: _end_kernels(server)):
            server.start()
            stopping.ended()
    click.echo(reports.stopped_line(words))
