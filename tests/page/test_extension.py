"""What the server of our pages says in the terminal, and what it keeps to itself."""

from __future__ import annotations

import asyncio
import logging

import pytest
from tornado.websocket import WebSocketClosedError

from probebook.page.extension import _is_of_note


@pytest.mark.parametrize(("raised", "told"), [(WebSocketClosedError(), False), (RuntimeError("else"), True)])
def test_that_a_page_has_left_is_no_news(
    raised: Exception, told: bool, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What asyncio says of a task that nobody waits for is kept back where its page was closed, and said otherwise."""
    logger = logging.getLogger("asyncio")
    monkeypatch.setattr(logger, "filters", [_is_of_note])
    loop = asyncio.new_event_loop()
    loop.call_exception_handler({"message": "Task exception was never retrieved", "exception": raised})
    loop.close()
    assert bool(caplog.records) is told
