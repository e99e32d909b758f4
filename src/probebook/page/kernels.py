"""The kernel that marks a workbook: started before anybody asks, found again, started anew when it is dead."""

from __future__ import annotations

import asyncio
import contextlib
from typing import Any

from tornado import web

from probebook.page.opening import opening_line
from probebook.workbook.journal import SUFFIX

__all__ = ["PATIENCE", "kernel_of", "warm"]

#: How long (seconds) a kernel may take to import what it needs before the server stops waiting for it.
PATIENCE = 120.0

_locks: dict[str, asyncio.Lock] = {}


async def kernel_of(settings: dict[str, Any], name: str) -> str:
    """The id of the living kernel that marks a workbook; one is started where there is none."""
    sessions, kernels = settings["session_manager"], settings["kernel_manager"]
    path = f"{name}{SUFFIX}"
    async with _locks.setdefault(path, asyncio.Lock()):
        for session in await sessions.list_sessions():
            if session["path"] != path:
                continue
            kernel_id = str(session["kernel"]["id"])
            if kernel_id in kernels and await _lives(kernels, kernel_id):
                return kernel_id
            with contextlib.suppress(KeyError, web.HTTPError):  # a kernel that is gone cannot be stopped
                await sessions.delete_session(session["id"])
        session = await sessions.create_session(path=path, name=name, type="probebook")
        return str(session["kernel"]["id"])


async def _lives(kernels: Any, kernel_id: str) -> bool:
    found = kernels.get_kernel(kernel_id).is_alive()
    return bool(await found if asyncio.iscoroutine(found) else found)


async def warm(settings: dict[str, Any], name: str) -> None:
    """Start the kernel of a workbook and let it import and lay out all that its page will ask for."""
    kernel_id = await kernel_of(settings, name)
    client = settings["kernel_manager"].get_kernel(kernel_id).client()
    client.start_channels(shell=True, iopub=False, stdin=False, hb=False, control=False)
    try:
        client.execute(opening_line(name), silent=True, store_history=False)
        with contextlib.suppress(
            Exception
        ):  # it comes too late, or fails: the page will run the line itself and say so
            await client.get_shell_msg(timeout=PATIENCE)
    finally:
        client.stop_channels()
