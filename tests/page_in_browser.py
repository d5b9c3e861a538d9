"""A lesson's page in a browser, for tests: a tab that notes all that it complains of."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import waiting
from playwright.sync_api import Browser, Page

# What a tab announces once its policy keeps something out.
WATCH = """
window.kept = [];
document.addEventListener("securitypolicyviolation", (event) =>
  window.kept.push(`${event.effectiveDirective} ${event.blockedURI}`));
"""
# Everything that is handed to the sound card, in order.
LISTEN = """
window.played = [];
const real = sound.play.bind(sound);
sound.play = (...call) => (window.played.push(call), real(...call));
true;
"""


@dataclass
class Opened:
    """A page in a tab of its own, with all that it complained of."""

    page: Page
    complaints: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def healthy(self) -> None:
        assert self.complaints == [] and self.page.evaluate("window.kept") == []
        assert [url for url in self.asked if not url.startswith("data:font/")] == [self.page.url]


def until(tab: Opened, condition: str) -> None:
    """Wait until a condition holds; the page's policy forbids to hand it a string to watch."""
    waiting.until(lambda: tab.page.evaluate(condition), condition)


def opened(browser: Browser, file: Path, width: int = 768, scheme: Any = "light") -> Opened:
    context = browser.new_context(viewport={"width": width, "height": 800}, color_scheme=scheme)
    tab = Opened(context.new_page())
    tab.page.on("console", lambda message: tab.complaints.append(message.text))
    tab.page.on("pageerror", lambda error: tab.complaints.append(str(error)))
    tab.page.on("requestfailed", lambda request: tab.complaints.append(request.url))
    tab.page.on("request", lambda request: tab.asked.append(request.url))
    tab.page.add_init_script(WATCH)
    tab.page.goto(file.as_uri())
    tab.page.evaluate("document.fonts.ready.then(() => true)")
    return tab
