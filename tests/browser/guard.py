"""Watches a browser: nothing may leave the site, no script may fail."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from playwright.sync_api import BrowserContext, Error, Route, WebSocket

FOREIGN = re.compile(
    r"^(?!file:|data:|blob:|about:|(https?|wss?)://(localhost|127\.0\.0\.1|\[::1\])([:/]|$))"
)


@dataclass(frozen=True)
class Size:
    """A window. Units: CSS pixels."""

    width: int
    height: int


PHONE = Size(390, 844)
LAPTOP = Size(1280, 800)


class Guard:
    """Stops and notes what leaves the site (`foreign`), notes what scripts throw (`errors`)."""

    def __init__(self, context: BrowserContext) -> None:
        self.foreign: list[str] = []
        self.errors: list[str] = []
        context.route(FOREIGN, self._stop)
        context.on("page", lambda page: page.on("websocket", self._hear))
        context.on("weberror", lambda event: self._fail(event.error))

    def _stop(self, route: Route) -> None:
        self.foreign.append(route.request.url)
        route.abort()

    def _hear(self, socket: WebSocket) -> None:
        if FOREIGN.match(socket.url):
            self.foreign.append(socket.url)

    def _fail(self, error: Error) -> None:
        self.errors.append(str(error))
