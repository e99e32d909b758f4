"""The way from the kernel of a paper to the service of a hub that has its benches.

The hub gives each learner's server an address and a token of the learner's own; a kernel that was started elsewhere has
neither, and no bench. What is asked and answered is plain JSON:

- ``GET  ADDRESS/jobs/PAPER/ITEM`` tells how the job stands: ``acts``, ``state``, ``curve``;
- ``POST`` there of ``{"count": number, "act": text}`` does an act, where so many were done; ``faults``, numbers in the
  order of the view, in place of ``act`` concludes, and ``back`` takes a conclusion back. The answer tells how the job
  stands then.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias
from urllib.error import HTTPError
from urllib.parse import quote
from urllib.request import ProxyHandler, Request, build_opener

__all__ = ["ADDRESS", "Asker", "Job", "NoAnswer", "asker"]

#: The variables of the environment that hold the address of the service and the learner's token.
ADDRESS, TOKEN = "PROBEBOOK_BENCH", "JUPYTERHUB_API_TOKEN"
#: How long (seconds) an answer is waited for: less than the page waits before it says that it waits.
PATIENCE = 5.0
#: The sentence for a status of an answer; for any other the service is away.
SAID = {400: "no-more", 401: "refused", 403: "refused", 404: "refused"}
#: A longer answer (bytes) is none of the service's.
LONGEST = 4_000_000


@dataclass(frozen=True, slots=True)
class Job:
    """How a job stands: what was done, what a page is told of it, the heat-up record taken last."""

    acts: tuple[str, ...]
    state: Mapping[str, Any]
    curve: Mapping[str, str]


class NoAnswer(Exception):  # noqa: N818 - not an error of the learner's: it is caught, and the page says which
    """The service did not answer; ``key`` names the sentence that says why."""

    def __init__(self, key: str) -> None:
        super().__init__(key)
        self.key = key


#: Asks for a job, with what is to be done before it is told, or nothing; raises :class:`NoAnswer`.
Asker: TypeAlias = Callable[[Mapping[str, Any] | None], Job]


def asker(paper: str, item: str) -> Asker:
    """What asks the service about one job."""

    def ask(doing: Mapping[str, Any] | None) -> Job:
        address, token = os.environ.get(ADDRESS, ""), os.environ.get(TOKEN, "")
        if not address or not token:
            raise NoAnswer("elsewhere")
        asked = Request(
            f"{address.rstrip('/')}/jobs/{quote(paper, safe='')}/{quote(item, safe='')}",
            data=None if doing is None else json.dumps(doing).encode(),
            headers={"Authorization": f"token {token}", "Content-Type": "application/json"},
        )
        try:
            with build_opener(ProxyHandler({})).open(asked, timeout=PATIENCE) as answer:
                return _job(answer.read(LONGEST))
        except HTTPError as error:
            with error:
                raise NoAnswer(SAID.get(error.code, "away")) from None
        except (OSError, ValueError, KeyError, TypeError, RecursionError):
            raise NoAnswer("away") from None

    return ask


def _job(content: bytes) -> Job:
    told = json.loads(content)
    acts, state, curve = told["acts"], told["state"], told["curve"]
    if not all(isinstance(act, str) for act in acts) or not isinstance(state, dict) or not isinstance(curve, dict):
        raise ValueError
    return Job(tuple(acts), state, curve)
