"""A learner who sits a paper on a hub over HTTP as a browser does: signs in, opens the page, speaks to the kernel."""

from __future__ import annotations

import json
import re
import time
import uuid
from dataclasses import dataclass, field
from typing import Any

import requests
import websocket

#: How long (seconds) a server may take to start, and an answer of a kernel to come.
STARTING, PATIENCE = 240.0, 60.0


@dataclass
class HubLearner:
    """One learner: a browser's cookies, the page of the paper, the line to its kernel."""

    hub: str
    user: str
    paper: str
    web: requests.Session = field(default_factory=requests.Session)
    components: dict[str, dict[str, Any]] = field(default_factory=dict)
    page: str = ""
    _count: int = 0

    def sign_in(self, password: str) -> int:
        """Sign in and ask for a server; the status of the answer."""
        self.web.trust_env = False
        form = self.web.get(f"{self.hub}hub/login", timeout=PATIENCE)
        sent = {"username": self.user, "password": password, "_xsrf": self._xsrf(form.text)}
        return self.web.post(f"{self.hub}hub/login", data=sent, timeout=PATIENCE).status_code

    @staticmethod
    def _xsrf(html: str) -> str:
        found = re.search(r'name="_xsrf" value="([^"]*)"', html)
        return found[1] if found else ""

    def open(self) -> str:
        """Wait for the server and open the page it shows first; its address."""
        until = time.monotonic() + STARTING
        while True:
            shown = self.web.get(f"{self.hub}user/{self.user}/", timeout=PATIENCE)
            if "/probebook/paper/" in shown.url and shown.ok:
                break
            if shown.status_code in (503, 404) or "/spawn" not in shown.url:
                self.web.get(f"{self.hub}hub/spawn/{self.user}", timeout=PATIENCE)
            if time.monotonic() > until:
                raise TimeoutError(f"{shown.status_code} {shown.url}")
            time.sleep(0.3)
        self.page = shown.text
        return str(shown.url)

    def attend(self) -> None:
        """Let the kernel of the page start, and open a comm to it as the page does."""
        base = f"{self.hub}user/{self.user}/"
        kernel = f"{base}probebook/paper/{self.paper}/kernel"
        xsrf = next(each.value for each in self.web.cookies if each.name == "_xsrf" and self.user in str(each.path))
        told = self.web.post(kernel, headers={"X-XSRFToken": str(xsrf)}, timeout=PATIENCE)
        told.raise_for_status()
        found = told.json()
        asked = requests.Request("GET", base)
        cookies = self.web.prepare_request(asked).headers.get("Cookie", "")
        self._session, self._comm = uuid.uuid4().hex, uuid.uuid4().hex
        self._socket = websocket.create_connection(
            f"{base.replace('http', 'ws', 1)}api/kernels/{found['kernel']}/channels?session_id={self._session}",
            cookie=cookies,
            timeout=PATIENCE,
            origin=self.hub.rstrip("/"),
        )
        self._send("execute_request", {"code": found["code"], "silent": True, "store_history": False})
        self._send("comm_open", {"comm_id": self._comm, "target_name": found["target"], "data": {}})
        self._hear("open")

    def run(self, code: str) -> str:
        """Run code in the learner's own kernel, as who can use Python may; what it printed."""
        number = self._send("execute_request", {"code": code, "silent": False, "store_history": False})
        printed = ""
        while True:
            message = json.loads(self._socket.recv())
            if message["parent_header"].get("msg_id") != number:
                continue
            if message["header"]["msg_type"] == "stream":
                printed += message["content"]["text"]
            elif message["header"]["msg_type"] == "error":
                printed += f"{message['content']['ename']}: {message['content']['evalue']}\n"
            elif message["header"]["msg_type"] == "status" and message["content"]["execution_state"] == "idle":
                return printed.strip()

    def press(self, key: str, press: dict[str, Any]) -> dict[str, Any]:
        """Press something in a component; its traits when all that follows has been said."""
        return self._ask({"key": key, "press": press}, key)

    def write(self, key: str, traits: dict[str, Any]) -> dict[str, Any]:
        """Write traits of a component, as typing does."""
        return self._ask({"key": key, "traits": traits}, key)

    def act(self, key: str, act: str) -> dict[str, Any]:
        """Do an act on a bench; the state that the page is told."""
        found: dict[str, Any] = self.press(key, {"press": "act", "act": act})["state"]
        return found

    def leave(self) -> None:
        """Close the page."""
        self._socket.close()

    def _ask(self, asked: dict[str, Any], key: str) -> dict[str, Any]:
        self._count += 1
        self._send("comm_msg", {"comm_id": self._comm, "data": {"n": self._count, **asked}})
        self._hear("done")
        return self.components[key]

    def _hear(self, until: str) -> None:
        """Take in what the kernel says, until it says this; for a press, until that very one is done."""
        while True:
            message = json.loads(self._socket.recv())
            if message["header"]["msg_type"] == "execute_reply" and message["content"]["status"] == "error":
                raise RuntimeError(message["content"]["evalue"])
            if message["header"]["msg_type"] != "comm_msg":
                continue
            said = message["content"]["data"]
            if said["say"] == "open":
                for told in (each for place in said["places"].values() for each in place):
                    self.components[told["key"]] = dict(told["traits"])
            elif said["say"] == "traits":
                self.components[said["key"]].update(said["traits"])
            if said["say"] == until and (until != "done" or said["n"] == self._count):
                return

    def _send(self, kind: str, content: dict[str, Any]) -> str:
        header = {
            "msg_id": uuid.uuid4().hex,
            "username": "",
            "session": self._session,
            "date": "",
            "msg_type": kind,
            "version": "5.3",
        }
        message = {"header": header, "parent_header": {}, "metadata": {}, "content": content, "channel": "shell"}
        self._socket.send(json.dumps({**message, "buffers": []}))
        return header["msg_id"]
