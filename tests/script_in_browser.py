"""Scripts in a browser, one by one: a blank page that has all that a module exports, as `kit`."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, Page, Route
from tabs import Tab

from harmonykit.draw.base.web import join, names

SCRIPTS = Path(__file__).resolve().parents[1] / "shared" / "scripts"
# Never asked for: the answer is given here, and the page has a store of its own.
ADDRESS = "http://scripts.test/"
BLANK = "<!doctype html><html><body></body></html>"

# What the kernel and the browser both have, without a kernel: what is sent is noted.
MODEL = """
window.Model = class {
  constructor(values) { this.values = values; this.listeners = []; this.sent = []; }
  get(name) { return this.values[name]; }
  send(message, callbacks, buffers) { this.sent.push(message); this.buffers = buffers; }
  on(name, listener) { this.listeners.push([name, listener]); }
  off(name, gone) { this.listeners = this.listeners.filter(([n, each]) => n !== name || each !== gone); }
  set(values) {
    Object.assign(this.values, values);
    for (const name of Object.keys(values)) this.call(`change:${name}`);
  }
  call(name, ...given) { for (const [n, each] of [...this.listeners]) if (n === name) each(...given); }
};
"""  # noqa: E501


@contextmanager
def opened(browser: Browser, script: str) -> Iterator[Page]:
    """Open a blank page with what a module under ``shared/scripts`` exports.

    It must complain of nothing.
    """
    tab = Tab(browser)
    page = tab.page
    complaints: list[str] = []
    tab.on("pageerror", lambda error: complaints.append(str(error)))

    def answer(route: Route) -> None:
        route.fulfill(body=BLANK, content_type="text/html")

    page.route("**/*", answer)
    page.goto(ADDRESS)
    page.evaluate("localStorage.clear()")
    path = SCRIPTS / script
    exported = ", ".join(names(path.read_text(encoding="utf-8"), exported=True))
    joined = join(path).replace("export default {", "const view = {")
    view = ", view" if "const view = {" in joined else ""
    content = f"{joined}\n{MODEL}\nwindow.kit = {{ {exported}{view} }};".replace("{ , ", "{ ")
    page.add_script_tag(content=content, type="module")
    page.wait_for_function("window.kit")
    yield page
    assert complaints == []
    tab.leave()
