"""A lesson's page in a browser, for tests: a tab that notes all that it complains of.

What the page shows while it plays is tested by a clock that stands still until the test moves it
on: no bar can pass unseen, however slow the machine is, and each mark is known to a 50th second.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NamedTuple

import pytest
import waiting
from playwright.sync_api import Browser, Page
from tabs import Tab

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
# The page's own clock stands still, and is moved on by a 50th of a second at a time, as the page's
# own timers would find it; whatever is seen to change is noted.
STEP = 1 / 50
STAND_STILL = """
(() => {
  let ticks = 0;
  const now = () => ticks / 50;
  sound.clock = () => ({ time: now(), late: 0 });
  const places = (level, kind, name) => [...level.querySelectorAll(kind)]
    .map((each, place) => (each.classList.contains(name) ? place : -1))
    .filter((place) => place >= 0);
  const look = () => {
    const level = document.querySelector(".level.playing");
    if (!level) return null;
    const marks = ["sounds", "comes"].flatMap((name) =>
      [".bar", ".cell"].map((kind) => places(level, kind, name)));
    const large = (where) => level.querySelector(`${where} .chord`).textContent;
    return [...marks, large(".now"), large(".next"), level.querySelector(".count").textContent];
  };
  window.walk = (seconds) => {
    const found = look() ? [[now(), ...look()]] : [];
    const end = ticks + Math.round(seconds * 50);
    while (ticks < end && playing) {
      ticks += 1;
      playing.feed();
      playing?.look();
      const seen = look();
      const [, ...last] = found.at(-1) ?? [];
      if (seen && JSON.stringify(seen) !== JSON.stringify(last)) found.push([now(), ...seen]);
    }
    return found;
  };
})()
"""
LEAD = 0.08  # seconds from the button to the first sound


class Seen(NamedTuple):
    """What a level shows from a moment on: places of bars and chords, chords shown large, beat."""

    at: float
    bars: list[int]
    cells: list[int]
    bars_ahead: list[int]
    cells_ahead: list[int]
    now: str
    next: str
    count: str


def agrees(seen: list[Seen], wanted: list[tuple[object, ...]]) -> None:
    """Compare what was seen, but for the beat, with rows: a moment, and what is shown from it."""
    found = [each[1:-1] for each in seen]
    kept = [n for n in range(len(found)) if n == 0 or found[n] != found[n - 1]]
    assert [found[n] for n in kept] == [row[1:] for row in wanted]
    # The page looks a 50th of a second after a change at the latest.
    moments = [seen[n].at for n in kept]
    assert moments == pytest.approx([row[0] for row in wanted], abs=STEP + 1e-6)


@dataclass
class Opened:
    """A page in a tab, with all that it complained of."""

    tab: Tab
    complaints: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    @property
    def page(self) -> Page:
        return self.tab.page

    def leave(self) -> None:
        self.tab.leave()

    def healthy(self) -> None:
        assert self.complaints == [] and self.page.evaluate("window.kept") == []
        assert [url for url in self.asked if not url.startswith("data:font/")] == [self.page.url]

    def stand_still(self) -> None:
        """Stop the clock of the page, before anything is played."""
        self.page.evaluate(STAND_STILL)

    def walk(self, seconds: float) -> list[Seen]:
        """Move the clock on; return what is seen at first, and after each change."""
        until(self, "playing === null || playing.stretches.length > 0")
        return [Seen(*each) for each in self.page.evaluate("(s) => window.walk(s)", seconds)]


def until(tab: Opened, condition: str) -> None:
    """Wait until a condition holds; the page's policy forbids to hand it a string to watch."""
    waiting.until(lambda: tab.page.evaluate(condition), condition)


def opened(browser: Browser, file: Path, width: int = 768, scheme: Any = "light") -> Opened:
    tab = Opened(Tab(browser, WATCH, width, 800, scheme))
    tab.tab.on("console", lambda message: tab.complaints.append(message.text))
    tab.tab.on("pageerror", lambda error: tab.complaints.append(str(error)))
    tab.tab.on("requestfailed", lambda request: tab.complaints.append(request.url))
    tab.tab.on("request", lambda request: tab.asked.append(request.url))
    tab.page.goto(file.as_uri())
    tab.page.evaluate("document.fonts.ready.then(() => true)")
    return tab
