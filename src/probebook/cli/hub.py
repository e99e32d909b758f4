"""``probebook hub``: a class sits its papers on this machine, each learner as a user of it."""

from __future__ import annotations

import os
import signal
import sys
import threading
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import click

from probebook import stopping
from probebook.cli.common import scenarios_option
from probebook.cli.secrets_asked import passphrase_from, passphrase_option

if TYPE_CHECKING:
    from types import FrameType

    from probebook.api.hubbing import HubOptions

A_FILE = click.Path(path_type=Path, dir_okay=False)
A_FOLDER = click.Path(path_type=Path, file_okay=False)


@click.command("hub")
@click.argument("class_dir", type=A_FOLDER, metavar="DIR")
@click.option("--key", type=A_FILE, required=True, metavar="FILE", help="Sealed key that 'probebook set' made.")
@click.option("--ip", default="127.0.0.1", show_default=True, help="Address of this machine that learners reach.")
@click.option("--port", type=click.IntRange(1, 65535), default=8000, show_default=True, help="Port they reach.")
@click.option("--collect", type=A_FOLDER, metavar="DIR", help="Where hand-ins go (default: collected, in DIR).")
@click.option(
    "--make-users",
    type=A_FILE,
    metavar="FILE",
    help="Make users of those learners who are none yet, and write their passwords into this CSV file.",
)
@click.option("--certificate", type=A_FILE, metavar="FILE", help="PEM file of a certificate, for https.")
@click.option("--certificate-key", type=A_FILE, metavar="FILE", help="PEM file of its private key.")
@click.option("--python", type=A_FILE, metavar="FILE", help="Python of the learners' servers (default: this one).")
@click.option(
    "--proxy", type=A_FILE, metavar="FILE", help="The program configurable-http-proxy (default: of the path)."
)
@click.option(
    "--test-password", type=A_FILE, metavar="FILE", help="FOR TESTS ONLY: everybody signs in with what is in FILE."
)
@passphrase_option
@scenarios_option
def command(
    class_dir: Path, key: Path, passphrase_file: Path | None, scenarios: Path | None, **given: int | str | Path | None
) -> None:
    """Let a class sit the papers in DIR, the folder that 'probebook set' wrote, on a hub of this machine.

    Each learner is a user of the machine, by the id of the class file, and signs in with their password here. Their
    paper is put into their home and opens when they sign in. Benches set with --bench-from service are asked of a
    service that alone keeps what the key holds. Hand-ins are collected until Ctrl-C.
    """
    from probebook.errors import UsageError

    if os.name != "posix":
        raise UsageError("a hub needs Linux", where="hub", remedy="hand the papers out, and use 'probebook open'")
    from probebook.api.hubbing import HubOptions

    options = HubOptions(**given)  # type: ignore[arg-type]
    if (options.certificate is None) != (options.certificate_key is None):
        raise UsageError("a certificate and its key go together", where="hub", remedy="give both, or neither")
    _run(class_dir, key, passphrase_from(passphrase_file, confirm=False), options, scenarios)


def _run(folder: Path, key: Path, passphrase: str, options: HubOptions, scenarios: Path | None) -> None:
    from probebook.api import hubbing, load_library

    words = load_library(scenarios).words
    over = threading.Event()

    def stop(number: int, frame: FrameType | None) -> None:
        del number, frame
        over.set()

    hub = hubbing.open_hub(folder, key, passphrase, options, lambda region: load_library(scenarios, region=region))

    def came(name: str) -> None:
        _say(hubbing.collected_line(name, words))

    try:
        stopping.let_go()
        signal.signal(signal.SIGINT, stop)
        signal.signal(signal.SIGTERM, stop)
        if signal.getsignal(signal.SIGHUP) is not signal.SIG_IGN:  # as nohup has it
            signal.signal(signal.SIGHUP, stop)
        hub.wait()
        _say(*hubbing.started_lines(hub, options, words))
        hub.watch(over.is_set, came, lambda reason: _say(hubbing.failed_line(reason, words)))
        _say(hubbing.stopping_line(words))
    finally:
        hub.stop()
        hub.collect(came)
    _say(hubbing.stopped_line(hub, words))


def _say(*lines: str) -> None:
    with suppress(OSError):  # a terminal that was closed: what is collected is collected all the same
        for line in lines:
            click.echo(line)
        sys.stdout.flush()
