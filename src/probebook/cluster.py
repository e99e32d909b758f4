"""Jobs on the workers of a cluster that stands already (dask.distributed), wherever these are.

Each worker needs the same Probebook. A job names a folder of scenarios; a worker that has no such folder takes the one
that came with its Probebook, and every job holds the fingerprint of what it was made from against what it finds.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, TypeVar

import probebook
from probebook.errors import UsageError

__all__ = ["Cluster"]

J = TypeVar("J")
R = TypeVar("R")

#: Seconds in which a cluster answers, or is said not to be there.
PATIENCE = 10
#: What an address looks like: a way of transport, a host, a port.
ADDRESS = re.compile(r"(tcp|tls|ucx|ws|wss)://[^\s/]+:\d+/?")


@dataclass(frozen=True, slots=True)
class Cluster:
    """The workers that a scheduler at ``address`` has; a worker that is killed loses nothing.

    The scheduler gives what a lost worker was at to another. A job that ends its worker time and again fails alone.
    ``tls://`` takes certificates from dask's own settings; a job holds the tutor's secret, so that ``tcp://`` is for
    networks that nobody else reads.
    """

    address: str

    def map(self, function: Callable[[J], R], jobs: Sequence[J], done: Callable[[], object] | None = None) -> list[R]:
        """The results of the jobs, in their order.

        Raises
        ------
        UsageError
            No cluster answers there, it has no worker, a worker has another Probebook, or a job ended its worker each
            time.
        """
        from distributed import KilledWorker, as_completed

        with _connected(self.address) as client:
            _check_workers(client, self.address)
            futures = client.map(function, jobs, pure=False)
            lost: list[int] = []
            numbers = {future.key: number for number, future in enumerate(futures)}
            try:
                for future in as_completed(futures, loop=client.loop):
                    if future.status == "error" and isinstance(future.exception(), KilledWorker):
                        lost.append(numbers[future.key])  # or a job beside it ended the worker
                        continue
                    future.result()
                    if done:
                        done()
                alone = {number: self._alone(client, function, jobs, number, done) for number in sorted(lost)}
                return [alone[n] if n in alone else future.result() for n, future in enumerate(futures)]
            finally:
                client.cancel(futures)

    def _alone(
        self, client: Any, function: Callable[[J], R], jobs: Sequence[J], number: int, done: Callable[[], object] | None
    ) -> R:
        """The result of a job whose worker was lost, with no other job beside it."""
        from distributed import KilledWorker

        try:
            found: R = client.submit(function, jobs[number], pure=False).result()
        except KilledWorker as error:
            raise UsageError(
                f"job {number + 1} ended its worker each time", where=self.address, remedy="set without --cluster"
            ) from error
        if done:
            done()
        return found


@contextmanager
def _connected(address: str) -> Iterator[Any]:
    """A client of the scheduler, closed at the end."""
    if not ADDRESS.fullmatch(address):
        raise UsageError(
            "this is no address of a cluster", where=f"--cluster {address}", remedy="write it as tcp://HOST:PORT"
        )
    try:
        from distributed import Client
    except ImportError as error:
        raise UsageError(
            "a cluster needs the library dask.distributed",
            where="--cluster",
            remedy="install it with: pip install 'probebook[cluster]'",
        ) from error
    try:
        client = Client(address, timeout=PATIENCE, set_as_default=False)
    except (OSError, ValueError) as error:
        raise UsageError(
            "no cluster answers there", where=address, remedy="check that its scheduler runs, and its address"
        ) from error
    with client:
        yield client


def _check_workers(client: Any, address: str) -> None:
    """Every worker has our version."""
    try:
        client.wait_for_workers(1, timeout=PATIENCE)  # one that was lost may be on its way back
    except TimeoutError as error:
        raise UsageError(
            "the cluster has no worker", where=address, remedy="start one with: dask worker ADDRESS"
        ) from error
    found: dict[str, str] = client.run(_version)
    other = {worker: version for worker, version in found.items() if version != probebook.__version__}
    for worker, version in sorted(other.items()):
        raise UsageError(
            f"the worker {worker} has Probebook {version}, and this is {probebook.__version__}",
            where=address,
            remedy="install the same there",
        )


def _version() -> str:
    return probebook.__version__
