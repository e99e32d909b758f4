"""A hub on this machine, with two learners as users of it: papers sat over HTTP, and what a learner cannot come by."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import requests
from hub_learner import HubLearner
from hubs import PASSPHRASE, Hub, Set

from probebook.api import assessing
from probebook.bench.simulator import BenchSpec, open_bench
from probebook.cases.library import Library
from probebook.hub.ports import FIRST
from probebook.questions.model import Standing
from probebook.workbook.forms.view import from_response

pytestmark = pytest.mark.slow

#: What is nothing that can be done on a bench.
MALFORMED = (
    b"",
    b"[]",
    b"nonsense",
    b'{"count": 0}',
    b'{"count": "0", "act": "isolate"}',
    b'{"count": 0, "act": 7}',
    b'{"count": 0, "act": "tell the fault"}',
    b'{"count": 0, "faults": [-1]}',
    b'{"count": 0, "back": false}',
    b'{"count": 0, "act": "isolate", "back": true}',
    b"[" * 3000,
)
#: Code that prints where input, output and errors of the server go, the parent of its kernel.
CHANNELS = "import os\nfor n in range(3): print(os.readlink(f'/proc/{os.getppid()}/fd/{n}'))"


@pytest.fixture(scope="module")
def ada(hub: Hub, two: Set) -> Iterator[HubLearner]:
    """The first learner, signed in as the machine knows her, with her paper open."""
    found = HubLearner(hub.address, two.user(0), two.name(0))
    assert found.sign_in(hub.passwords[found.user]) == 200
    assert found.open().endswith(f"/user/{two.user(0)}/probebook/paper/{two.name(0)}")
    found.attend()
    yield found
    found.leave()


def bench_of(learner: HubLearner) -> str:
    """The key of the bench in the page of a paper."""
    return next(key for key in learner.components if key.endswith("/bench.js"))


def processes(of: str, two: Set | None = None) -> list[Path]:
    """Processes in whose command this stands; where a class is given, those that work in the folder of its hub."""
    found = []
    for place in Path("/proc").glob("[0-9]*"):
        try:
            command = (place / "cmdline").read_bytes().replace(b"\0", b" ").decode("utf-8", "replace")
            here = (place / "cwd").resolve()
        except OSError:
            continue
        if of in command and (two is None or here == (two.folder / "hub").resolve()):
            found.append(place)
    return found


@pytest.fixture
def outsider(two: Set) -> Iterator[tuple[str, str]]:
    """A user of this machine who is not of the class, and their password."""
    user, password = two.user(0).replace("ada", "out"), "not of the class"
    subprocess.run(["useradd", "--no-create-home", "--shell", "/usr/sbin/nologin", user], check=True)
    subprocess.run(["chpasswd"], input=f"{user}:{password}\n", text=True, check=True)
    yield user, password
    subprocess.run(["userdel", user], capture_output=True, check=False)


def test_only_a_learner_with_their_password_comes_in(hub: Hub, two: Set, outsider: tuple[str, str]) -> None:
    """A wrong password is refused, and so is the right one of a user who is no learner."""
    pamela = pytest.importorskip("pamela")
    user, password = outsider
    pamela.authenticate(user, password, service="login")  # raises where the machine does not take it
    assert HubLearner(hub.address, two.user(1), "").sign_in("not it") == 403
    assert HubLearner(hub.address, user, "").sign_in(password) == 403
    assert HubLearner(hub.address, "root", "").sign_in("not it") == 403


def test_a_learner_reads_nothing_but_their_own(hub: Hub, ada: HubLearner, two: Set) -> None:
    """From her own kernel: no other paper, no key, no folder of the class, no environment or memory of the service."""
    (service,) = processes("probebook.hub.service", two)
    other = f"/home/{two.user(1)}/paper-{two.papers.id}/{two.name(1)}.ipynb"
    assert Path(other).is_file()
    assert PASSPHRASE.encode() in (service / "environ").read_bytes()  # root reads it: so it is there to be kept apart
    wanted = [other, str(two.key), str(two.folder / "set-record.json"), f"{two.folder}/hub/benches.jsonl"]
    wanted += [f"{service}/environ", f"{service}/mem", f"{service}/maps", f"{two.folder}/papers/{two.name(1)}.ipynb"]
    wanted += [f"{place}/environ" for place in processes("probebook.hub.running", two)]
    code = "for path in {!r}:\n    try:\n        open(path, 'rb').read(1); print('READ', path)\n"
    code += "    except OSError as error:\n        print(type(error).__name__)"
    assert ada.run(code.format(wanted)).split() == ["PermissionError"] * len(wanted)
    everything = ada.run(
        "import glob\nprint(b' '.join(open(p, 'rb').read() for p in glob.glob('/proc/[1-9]*/cmdline')))"
    )
    assert "probebook.hub.service" in everything
    assert PASSPHRASE not in everything
    assert ada.run(CHANNELS).split() == ["/dev/null"] * 3
    ports = json.loads((two.folder / "hub" / "ports.json").read_bytes())
    assert all(port < 1024 for port in ports) or int(FIRST.read_text("ascii")) < 1024
    if shutil.which("prlimit"):
        limits = "import resource as r\nprint(r.getrlimit(r.RLIMIT_FSIZE), r.getrlimit(r.RLIMIT_NPROC))"
        assert ada.run(limits) == "(200000000, 200000000) (1000, 1000)"
    mine = ada.run(f"import os\nprint(os.getuid() != 0, oct(os.stat('{two.name(0)}.ipynb').st_mode & 0o777))")
    assert mine == "True 0o600"


def test_no_paper_holds_a_reading(two: Set) -> None:
    """What a paper carries of its bench has no table: a view, and how the job stands on arrival."""
    from probebook.assessment.sitting.carried import unpacked

    for number in range(2):
        told = json.loads((two.folder / "papers" / f"{two.name(number)}.ipynb").read_text("utf-8"))
        (item,) = (each for each in told["metadata"]["probebook"]["sitting"]["items"] if "bench" in each)
        carried = unpacked(item["bench"], "paper")
        assert set(carried) == {"view", "start"}
        spec = BenchSpec.from_json(two.job(number).question.bench)
        assert spec.name not in json.dumps(carried)
        assert carried["start"]["par"] == ""
        assert carried["start"]["spent"] == {}


def test_the_service_answers_a_learner_about_their_own_job_alone(hub: Hub, ada: HubLearner, two: Set) -> None:
    """Without a token, with a wrong one, for another's paper, of no bench, with what is no act: a refusal."""
    token = ada.run("import os; print(os.environ['JUPYTERHUB_API_TOKEN'])")
    own, other = (f"{paper.id}/{two.job(number).id}" for number, paper in enumerate(two.papers.papers))
    through = f"{hub.address}services/bench/jobs/"
    direct = ada.run("import os; print(os.environ['PROBEBOOK_BENCH'])") + "/jobs/"

    def asked(place: str, path: str, token: str = token, body: bytes | None = None) -> int:
        headers = {"Authorization": f"token {token}"} if token else {}
        if body is None:
            return requests.get(place + path, headers=headers, allow_redirects=False, timeout=30).status_code
        return requests.post(place + path, headers=headers, data=body, allow_redirects=False, timeout=30).status_code

    for place in (through, direct):
        assert asked(place, own) == 200
        assert asked(place, own, token="") == 403
        assert asked(place, own, token="0" * 32) == 403
        assert asked(place, other) == 404
        assert asked(place, other, body=b'{"count": 0, "act": "isolate"}') == 404
        assert asked(place, own.replace(two.job(0).id, "q99")) == 404
    for body in MALFORMED:
        assert asked(through, own, body=body) == 400, body
    assert asked(through, own, body=b" " * 5000) in (400, 413)
    assert requests.get(through + own, headers={"Authorization": f"token {token}"}, timeout=30).json()["acts"] == []


def test_no_terminal_and_no_other_server(hub: Hub, ada: HubLearner, two: Set) -> None:
    """Her server gives no terminal; that of another learner at work, and the hub's list of users, are refused."""
    base, bo = f"{hub.address}user/{two.user(0)}/", HubLearner(hub.address, two.user(1), two.name(1))
    assert bo.sign_in(hub.passwords[bo.user]) == 200
    bo.open()
    others = f"{hub.address}user/{two.user(1)}/api/contents"
    assert bo.web.get(others, timeout=30).status_code == 200
    bo.web.close()
    assert ada.web.get(f"{base}api/contents", timeout=30).status_code == 200
    assert ada.web.get(others, timeout=30).status_code in (403, 404)
    token = ada.run("import os; print(os.environ['JUPYTERHUB_API_TOKEN'])")
    asked = requests.get(others, headers={"Authorization": f"token {token}"}, allow_redirects=False, timeout=30)
    assert asked.status_code in (403, 404)
    assert ada.web.get(f"{base}api/terminals", timeout=30).status_code == 404
    assert ada.web.get(f"{hub.address}hub/api/users", timeout=30).status_code == 403


def test_a_paper_is_sat_handed_in_collected_and_marked(
    hub: Hub, ada: HubLearner, two: Set, trade: Library, tmp_path: Path
) -> None:
    """Every display is the core's, in the page and in the journal; the job outlives its service; all marks are earned.

    The other learner's home holds a link to the sealed key in place of a hand-in: it is not followed.
    """
    item, acts = two.job(0), two.acts(0)
    bench = open_bench(BenchSpec.from_json(item.question.bench), trade)
    key, stands, readings = bench_of(ada), bench.start(), 0
    for number, act in enumerate(acts):
        stands, shown = bench.act(stands, act)
        told = ada.act(key, act)
        assert (told["said"]["text"], told["display"] if shown.display else "") == (str(shown.text), shown.display), act
        readings += bool(shown.display)
        if number == len(acts) // 2:
            (service,) = processes("probebook.hub.service", two)
            os.kill(int(service.name), 9)
            assert ada.act(key, "isolate")["said"]["tone"] == "no"
            _until_back(ada, key)
    assert readings > 0
    assert told["job"]["over"]
    assert ada.press(key, {"press": "restart"})["state"]["job"]["over"] is False
    assert ada.act(key, acts[-1])["par"] == ""
    form = two.plain(0)
    answer = [from_response(field, field.answer) for field in form.question.fields]
    ada.write(f"{form.id}/form.js", {"answer": answer})
    assert "Handed in" in ada.press("hand-in/sheet.js", {"press": "hand-in"})["state"]["done"][0]
    trap = f"/home/{two.user(1)}/paper-{two.papers.id}/{two.name(1)}.handin.json"
    subprocess.run(["ln", "-s", str(two.key), trap], user=two.user(1), check=True, cwd="/")

    said = hub.stop()
    assert f"Collected {two.name(0)}.handin.json" in said
    assert "1 hand-in of 2 papers" in said
    assert not [
        each for each in processes("probebook.hub.server") if two.user(0).encode() in (each / "environ").read_bytes()
    ]
    assert processes("probebook.hub.service", two) == []
    collected = two.folder / "collected"
    assert [path.name for path in collected.iterdir()] == [f"{two.name(0)}.handin.json"]
    assert acts[-1] in (collected / f"{two.name(0)}.handin.json").read_text("utf-8")

    file = two.folder.parent / "passphrase.txt"
    line = [sys.executable, "-m", "probebook", "mark", str(collected), "--key", str(two.key), "--out", str(tmp_path)]
    subprocess.run([*line, "--passphrase-file", str(file)], check=True, capture_output=True)
    marked = assessing.mark_folder(collected, two.papers, tmp_path / "again", trade)
    assert (tmp_path / "marks.json").read_bytes() == (tmp_path / "again" / "marks.json").read_bytes()
    (paper,) = marked.papers
    assert [each.standing for each in paper.items] == [Standing.RIGHT] * 2
    assert paper.marks == two.papers.blueprint.marks


def _until_back(learner: HubLearner, key: str) -> None:
    """Wait until the hub has started its service again: a look at nothing is then refused as always."""
    until = time.monotonic() + 60
    while learner.act(key, "look no-such")["said"]["text"].startswith("The bench cannot be reached"):
        assert time.monotonic() < until
        time.sleep(0.3)
