"""The service of a hub that has the benches: it opens the sealed key, and answers each learner about their own job.

It is started by the hub (``python -m probebook.hub.service``) as another user than any learner, asks the hub whose
token comes with a request, and tells readings, never what they follow from.
"""

from __future__ import annotations

import json
import logging
import os
import resource
import signal
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from jupyterhub.services.auth import HubAuthenticated
from tornado import web
from tornado.httpserver import HTTPServer
from tornado.ioloop import IOLoop, PeriodicCallback

from probebook.assessment.model import PaperSet
from probebook.cases.library import Library
from probebook.hub.jobs import Jobs, NotADoing, NotYours
from probebook.hub.learners import user_of

__all__ = ["BenchHandler", "application", "main"]

#: A longer request (bytes) is refused unread.
LONGEST = 4_000
#: How long (seconds) a connection may say nothing, and a request may take to come.
IDLE, SLOW = 30.0, 10.0
#: How often (milliseconds) it is seen whether the hub is still there: a key is not left behind in memory.
LOOK = 2_000
#: The variables of the environment that the hub's command gives the service.
KEY, SECRET, LOG, SCENARIOS = (f"PROBEBOOK_HUB_{name}" for name in ("KEY", "PASSPHRASE", "LOG", "SCENARIOS"))


class BenchHandler(HubAuthenticated, web.RequestHandler):  # type: ignore[misc]
    """One job of one learner."""

    def initialize(self, jobs: Jobs, users: dict[str, str]) -> None:
        """Say which jobs, and which learner a user of the hub is."""
        self._jobs, self._users = jobs, users

    def set_default_headers(self) -> None:
        """Nobody keeps what is told."""
        self.set_header("Cache-Control", "no-store")
        self.set_header("X-Content-Type-Options", "nosniff")

    def get_login_url(self) -> str:
        """Nobody signs in here: who has no token of the hub is refused."""
        raise web.HTTPError(403)

    def _learner(self) -> str:
        """The learner whose token comes with the request."""
        user = self.get_current_user()
        name = user.get("name") if isinstance(user, dict) and user.get("kind") == "user" else None
        if name not in self._users:
            raise web.HTTPError(403)
        return self._users[name]

    def get(self, paper: str, item: str) -> None:
        """Tell how a job stands."""
        try:
            self.finish(self._jobs.told(self._learner(), paper, item))
        except NotYours:
            raise web.HTTPError(404) from None

    def post(self, paper: str, item: str) -> None:
        """Do something on the bench, and tell how the job stands."""
        learner = self._learner()
        try:
            doing: Any = json.loads(self.request.body)
            if not isinstance(doing, dict):
                raise NotADoing
            self.finish(self._jobs.do(learner, paper, item, doing))
        except NotYours:
            raise web.HTTPError(404) from None
        except (NotADoing, ValueError, RecursionError):
            raise web.HTTPError(400) from None

    def write_error(self, status_code: int, **kwargs: Any) -> None:
        """The number says all."""
        del kwargs
        self.finish({"status": status_code})


def application(jobs: Jobs, papers: PaperSet, prefix: str) -> web.Application:
    """What answers below ``prefix``, which ends in a stroke."""
    users = {user_of(paper.learner): paper.learner.id for paper in papers.papers}
    told = {"jobs": jobs, "users": users}
    return web.Application([(rf"{prefix}jobs/([0-9a-f]{{1,64}})/(q\d{{1,4}})", BenchHandler, told)])


def main() -> None:
    """Serve until told to stop."""
    from probebook.assessment.keys import open_key
    from probebook.cases.library import library

    environment = os.environ
    papers = open_key(Path(environment[KEY]), environment.pop(SECRET))
    scenarios = Path(environment[SCENARIOS])

    def spoken(language: str) -> Library:
        return library(scenarios, papers.blueprint.region, language)

    jobs = Jobs(papers, spoken, Path(environment[LOG]))
    served = application(jobs, papers, environment["JUPYTERHUB_SERVICE_PREFIX"])
    address = urlsplit(environment["JUPYTERHUB_SERVICE_URL"])
    _, most = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (most, most))
    server = HTTPServer(served, max_body_size=LONGEST, idle_connection_timeout=IDLE, body_timeout=SLOW)
    server.listen(address.port or 0, address.hostname or "127.0.0.1")
    loop, parent = IOLoop.current(), os.getppid()
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, lambda *_: loop.add_callback_from_signal(loop.stop))
    PeriodicCallback(lambda: loop.stop() if os.getppid() != parent else None, LOOK).start()
    logging.getLogger("tornado.access").setLevel(logging.ERROR)
    loop.start()


if __name__ == "__main__":
    main()
