"""A hub for a class on one machine: what the command ``hub`` does."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.errors import UsageError

if TYPE_CHECKING:
    from probebook.assessment.model import PaperSet
    from probebook.cases.library import Library
    from probebook.hub.starting import RunningHub
    from probebook.words import Words

__all__ = ["HubOptions", "collected_line", "start_hub", "started_lines", "stopped_line", "stopping_line"]

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
    python, proxy
        The Python of the learners' servers, and the proxy; found where None.
    certificate, certificate_key
        PEM files for https.
    test_password
        A file with the one password of a test; empty for the machine's own.
    """

    ip: str = "127.0.0.1"
    port: int = 8000
    collect: Path | None = None
    python: Path | None = None
    proxy: Path | None = None
    certificate: Path | None = None
    certificate_key: Path | None = None
    test_password: Path | None = None


def start_hub(
    folder: Path, key: Path, passphrase: str, options: HubOptions, library_of: Callable[[str], Library]
) -> tuple[RunningHub, PaperSet, Path]:
    """Put the papers of a class into their learners' homes and start the hub.

    Parameters
    ----------
    folder, key, passphrase
        What ``set`` wrote, its sealed key, and what opens that.
    options
        What the tutor said.
    library_of
        The trade of a region.

    Returns
    -------
    RunningHub, PaperSet, Path
        The hub, whose papers are sat, and where hand-ins go.

    Raises
    ------
    UsageError
        Something is missing; nothing was started.
    """
    import sys

    from probebook.assessment.keys import open_key
    from probebook.hub.checking import check_closed, check_machine, check_python, find_proxy
    from probebook.hub.papers import folder_of, place_papers
    from probebook.hub.settings import HubSettings
    from probebook.hub.starting import RunningHub, free_ports, pages_of

    check_machine()
    proxy = find_proxy(options.proxy)
    if not (folder / "papers").is_dir():
        raise UsageError("no papers lie in this folder", where=str(folder), remedy="name the folder that 'set' wrote")
    papers = open_key(key, passphrase)
    check_closed(folder, key)
    library = library_of(papers.blueprint.region)
    if library.fingerprint != papers.fingerprint:
        raise UsageError(
            "these are not the scenarios that the papers were set from",
            where=str(library.folder),
            remedy="name theirs with --scenarios",
        )
    python = str(options.python.absolute()) if options.python else sys.executable
    check_python(python, papers)
    test = _test_password(options.test_password)
    state = folder.resolve() / "hub"
    state.mkdir(mode=0o700, exist_ok=True)
    place_papers(papers, folder / "papers")
    told = HubSettings(
        pages=pages_of(papers),
        folder=folder_of(papers),
        state=str(state),
        ip=options.ip,
        port=options.port,
        ports=free_ports(),
        python=python,
        proxy=proxy,
        key=str(key.resolve()),
        passphrase=passphrase,
        scenarios=str(library.folder.resolve()),
        certificate=str(options.certificate.resolve()) if options.certificate else "",
        certificate_key=str(options.certificate_key.resolve()) if options.certificate_key else "",
        test_password=test,
    )
    into = options.collect or folder / "collected"
    return RunningHub(told, papers, into), papers, into


def _test_password(path: Path | None) -> str:
    if path is None:
        return ""
    try:
        found = path.read_text("utf-8").strip()
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError("the password of the test cannot be read", where=str(path), remedy="check it") from error
    if not found:
        raise UsageError("the password of the test is empty", where=str(path), remedy="write one into it")
    return found


def started_lines(hub: RunningHub, papers: PaperSet, into: Path, options: HubOptions, words: Words) -> list[str]:
    """What a tutor is told when the hub runs."""
    from probebook.hub.facts import HubStarted
    from probebook.words import Phrase

    told = HubStarted(Phrase(papers.blueprint.title), len(papers.papers), hub.address, str(into))
    keys = [*(["test"] if options.test_password else []), "started", "address"]
    if options.ip not in LOOPBACK and options.certificate is None:
        keys.append("plain")
    return [words.say(told, key) for key in (*keys, "collected-in", "stop")]


def collected_line(name: str, words: Words) -> str:
    """That a hand-in came in."""
    from probebook.hub.facts import HandInCollected

    return words.say(HandInCollected(name), "collected")


def stopping_line(words: Words) -> str:
    """That the hub is being stopped."""
    from probebook.hub.facts import HubStopped

    return words.say(HubStopped(), "stopping")


def stopped_line(papers: PaperSet, into: Path, words: Words) -> str:
    """That the hub has stopped, and how many have handed in."""
    from probebook.hub.facts import HubStopped

    names = (papers.blueprint.paper_name(paper.learner) for paper in papers.papers)
    handed = sum((into / f"{name}.handin.json").exists() for name in names)
    return words.say(HubStopped(len(papers.papers), handed, str(into)), "stopped")
