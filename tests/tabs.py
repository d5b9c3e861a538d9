"""Tabs of a browser that tests use in turn: to open a new one takes as long as most tests.

A tab that is left is blank and deaf, and looks as a new one to who takes it next; only what its
pages stored stays.  One that is not left, since a test failed, is not used again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Literal

from playwright.sync_api import Browser, Page

BLANK = "about:blank"
WIDTH, HEIGHT = 1280, 720
# The one that waits for the next test, with its browser and the script that begins its pages.  It
# is the only one: what stands behind another draws no frames.
_IDLE: list[tuple[Browser, str, Page]] = []


@dataclass
class Tab:
    """A tab in use.

    Parameters
    ----------
    browser : Browser
    begins : str
        A script that runs at the start of each of its pages.
    width, height : int
        Of the window, in pixels.
    scheme : {"light", "dark"}
        What the user likes.
    """

    browser: Browser
    begins: str = ""
    width: int = WIDTH
    height: int = HEIGHT
    scheme: Literal["light", "dark"] = "light"
    page: Page = field(init=False)
    _heard: list[tuple[Any, Callable[[Any], None]]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.page = self._idle() or self._new()
        self.page.set_viewport_size({"width": self.width, "height": self.height})
        self.page.emulate_media(media="screen", color_scheme=self.scheme)

    def _idle(self) -> Page | None:
        while _IDLE:
            browser, begins, page = _IDLE.pop()
            if (browser, begins) == (self.browser, self.begins):
                return page
            page.context.close()
        return None

    def _new(self) -> Page:
        page = self.browser.new_context().new_page()
        if self.begins:
            page.add_init_script(self.begins)
        return page

    def on(self, event: Any, listener: Callable[[Any], None]) -> None:
        """Hear of an event until the tab is left."""
        self.page.on(event, listener)
        self._heard.append((event, listener))

    def leave(self) -> None:
        """Hand the tab on to the next test."""
        for event, listener in self._heard:
            self.page.remove_listener(event, listener)
        self.page.unroute_all()
        self.page.goto(BLANK)
        _IDLE.append((self.browser, self.begins, self.page))
