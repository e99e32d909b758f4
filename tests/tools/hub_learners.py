"""Simulated learners on a hub of this machine: how soon all can work, how long a click takes, what memory it costs.

As root, with configurable-http-proxy at hand. Learners are temporary users of the machine; each signs in over HTTP,
opens their paper, and does the acts of the key on its bench, all of them at once, with a pause between two acts as
somebody who reads makes it. Printed are the time until the last paper stands open, the time from a click to what it
shows (median; beside it that of one learner alone), and the memory (PSS: what is shared is counted once, in parts).

    python tests/tools/hub_learners.py --learners 20
"""

from __future__ import annotations

import argparse
import os
import random
import statistics
import sys
import tempfile
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "hub"))

from hub_learner import HubLearner
from hubs import BENCHED, PASSPHRASE, Hub, Set, running, why_not

from probebook.api import assessing, load_library
from probebook.assessment.model import Learner, Paper
from probebook.assessment.setting.blueprints import load_blueprint

#: A whole class that is stood for, and the memory (GiB) it may take.
CLASS, ROOM = 100, 16.0
#: Seconds between two acts of a learner: from, to.
PAUSE = (1.0, 5.0)
MIB = 1024


def set_class(learners: int, folder: Path) -> Set:
    """Set a class whose benches are asked of the service."""
    library = load_library()
    path = folder / "on-the-bench.toml"
    path.write_text(BENCHED, "utf-8")
    plan = replace(load_blueprint(path, library), asks_service=True)
    people = tuple(Learner(f"pb-load-{number:03d}", f"Learner {number}") for number in range(1, learners + 1))
    june = folder / "june"
    june.mkdir(mode=0o700)
    made = assessing.set_class(plan, people, june, PASSPHRASE, library, secret="7c" * 32)
    return Set(made.papers, june, made.key)


def come(hub: Hub, found: Set, number: int) -> HubLearner:
    """A learner signs in, opens their paper, and its kernel answers."""
    user = found.papers.papers[number].learner.id
    learner = HubLearner(hub.address, user, found.name(number))
    learner.sign_in(hub.passwords[user])
    learner.open()
    learner.attend()
    return learner


def sit(learner: HubLearner, found: Set, number: int, pause: tuple[float, float]) -> list[float]:
    """Do the acts of the key; the seconds that each took to be shown."""
    rng, key = random.Random(number), next(key for key in learner.components if key.endswith("/bench.js"))
    took = []
    for act in found.acts(number):
        time.sleep(rng.uniform(*pause))
        begun = time.perf_counter()
        state = learner.act(key, act)
        took.append(time.perf_counter() - begun)
        if state["said"]["tone"] == "no":
            raise RuntimeError(f"{learner.user}: {act}: {state['said']['text']}")
    return took


def memory(papers: tuple[Paper, ...]) -> tuple[float, float]:
    """The memory (MiB, proportional) of the learners' processes, and of hub, proxy and service."""
    import pwd

    users = {pwd.getpwnam(paper.learner.id).pw_uid for paper in papers}
    learners = others = 0.0
    for place in Path("/proc").glob("[0-9]*"):
        try:
            owner = place.stat().st_uid
            command = (place / "cmdline").read_bytes()
            rollup = (place / "smaps_rollup").read_text("ascii")
        except OSError:
            continue
        size = next(int(line.split()[1]) for line in rollup.splitlines() if line.startswith("Pss:")) / MIB
        if owner in users:
            learners += size
        elif b"probebook.hub" in command or b"configurable-http-proxy" in command:
            others += size
    return learners, others


def measure(learners: int, folder: Path) -> None:
    """Run the trial and print what was seen."""
    found = set_class(learners, folder)
    with running(found) as hub:
        begun = time.perf_counter()
        first = come(hub, found, 0)
        print(f"one learner: paper open after {time.perf_counter() - begun:.1f} s", flush=True)
        alone = sit(first, found, 0, (0.1, 0.3))
        print(f"one learner: {statistics.median(alone) * 1000:.0f} ms from click to what it shows (median)", flush=True)
        begun = time.perf_counter()
        with ThreadPoolExecutor(learners) as pool:
            rest = list(pool.map(lambda number: come(hub, found, number), range(1, learners)))
            print(f"{learners - 1} more at once: all papers open after {time.perf_counter() - begun:.0f} s", flush=True)
            took = list(pool.map(lambda pair: sit(pair[1], found, pair[0], PAUSE), enumerate(rest, start=1)))
        clicks = [each for one in took for each in one]
        ratio = statistics.median(clicks) / statistics.median(alone)
        worst = statistics.quantiles(clicks, n=20)[-1] * 1000
        print(f"{learners - 1} at once, {len(clicks)} clicks: {statistics.median(clicks) * 1000:.0f} ms (median),")
        print(f"  {worst:.0f} ms (19 in 20 are quicker); {ratio:.1f} times one learner's")
        of_learners, others = memory(found.papers.papers)
        each = of_learners / learners
        print(f"memory: {each:.0f} MiB a learner, {others:.0f} MiB for hub, proxy and service")
        whole = (each * CLASS + others) / MIB
        print(f"  {CLASS} learners, extrapolated from {learners}: {whole:.1f} GiB (goal: at most {ROOM:.0f})")
        for learner in (first, *rest):
            learner.leave()
        begun = time.perf_counter()
        hub.stop()
        print(f"stopped in {time.perf_counter() - begun:.0f} s; {threading.active_count()} thread(s) left")


def main() -> None:
    """Read the command line and run."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    parser.add_argument("--learners", type=int, default=20)
    learners = parser.parse_args().learners
    reason = why_not()
    if reason or learners < 2:
        sys.exit(reason or "at least two learners")
    os.environ.setdefault("PROBEBOOK_CACHE", "off")
    with tempfile.TemporaryDirectory() as folder:
        measure(learners, Path(folder))


if __name__ == "__main__":
    main()
