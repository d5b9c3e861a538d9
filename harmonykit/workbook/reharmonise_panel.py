"""The page for an arranger: reharmonise a tune, compare the ways by numbers, take one away.

Three layers: ``reharmonise_state`` says what may be set, ``reharmonise_ways`` finds what follows
from it, the plot, the charts and the page draw it, and :class:`ReharmonisePanel` is the thin view.
The search works beside the page and can be stopped; what was found last stays until there is
something else to show, also while what is typed cannot be read.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Collection, Iterable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from harmonykit.arrange.moves import MOVES, USUAL
from harmonykit.errors import HarmonyError
from harmonykit.show.notation import to_musicxml
from harmonykit.show.style import Drawing
from harmonykit.workbook.keep import Keep
from harmonykit.workbook.reharmonise_charts import Charts, sounding_steps
from harmonykit.workbook.reharmonise_export import EXPORTS, FOLDER, export
from harmonykit.workbook.reharmonise_page import (
    chart_html,
    choices_html,
    neck_html,
    plot_html,
    reasons_html,
    settings_html,
    source_html,
    staff_html,
    summary,
    table_html,
)
from harmonykit.workbook.reharmonise_plot import draw_ways, numbers
from harmonykit.workbook.reharmonise_sound import sound_of_way
from harmonykit.workbook.reharmonise_source import open_file, text_of
from harmonykit.workbook.reharmonise_staff import BARS, staff_of
from harmonykit.workbook.reharmonise_state import (
    CONTROLS,
    OPTIONS,
    ReharmoniseState,
    after_set,
    from_kept,
    to_kept,
    toggled,
    value_of,
)
from harmonykit.workbook.reharmonise_ways import Row, Ways, find_best, find_front
from harmonykit.workbook.task import Progress, Worker

if TYPE_CHECKING:
    from harmonykit.workbook.reharmonise_view import ReharmoniseView

KIND = "reharmonise"
KEPT = "reharmonise-kept.json"
# Seconds that a search waits for the page at most.
_PATIENCE = 1.0
Show = Callable[[], None]


class ReharmonisePanel:
    """A tune reharmonised in many ways, which are compared, heard and taken away.

    Parameters
    ----------
    tune : str
        A path, or the bare name of a tune that ships.
    instrument : str
    moves : iterable of str
    keep : str, Path or None
        The file in which what is typed and set on the page is kept, and found again; none for none.
    folder : str or Path
        Where files that are taken away are put.

    Examples
    --------
    >>> panel = ReharmonisePanel("slack_water_waltz", moves=["approach"], keep=None)
    >>> panel.wait(60)
    True
    >>> panel.press("row-written")
    >>> print(panel.facts.split(". ")[1])
    Shown: as written, 44 semitones, 112 mm, no chords put in.
    """

    title = "reharmonise a tune"

    def __init__(
        self,
        tune: str | Path = "net_loft_shuffle",
        instrument: str = "ukulele",
        moves: Iterable[str] = USUAL,
        *,
        keep: str | Path | None = KEPT,
        folder: str | Path = FOLDER,
    ) -> None:
        self.folder = Path(folder)
        self._lock = threading.RLock()
        self._view: ReharmoniseView | None = None
        self.ways: Ways | None = None
        self.fault = self.trouble = self.written = ""
        self._progress: tuple[int, int] = (0, 0)
        self._doing, self._turn, self._done = "", 0, 0
        self._drawn: dict[str, tuple[object, str]] = {}
        self._charts: tuple[Ways | None, Charts] = (None, Charts())
        self._staff: tuple[object, str] = (None, "")
        self._staff_asked: object = None
        self._score: tuple[object, str] = (None, "")
        self._staff_first = 0
        self._worker: Worker[Ways] = Worker(
            self._found, self._failed, self._told, self._was_stopped
        )
        self._engraver: Worker[Show] = Worker(lambda show: show(), self._not_made)
        self._player: Worker[None] = Worker(lambda made: None, self._not_made)
        self._keep = None if keep is None else Keep(keep, KIND)
        self._state = self._restored() or self._first(tune, instrument, moves)
        self._search()

    def _first(self, tune: str | Path, instrument: str, moves: Iterable[str]) -> ReharmoniseState:
        name, text = open_file(str(tune))
        allowed = tuple(move for move in MOVES if move in set(moves))
        return ReharmoniseState(text, name, moves=allowed, instrument=instrument)

    def _restored(self) -> ReharmoniseState | None:
        """Return the state that was kept, if one was."""
        if self._keep is None:
            return None
        self.trouble = self._keep.trouble
        if "tune" not in self._keep:
            return None
        try:
            return from_kept({name: self._keep.get(name) for name in ("tune", "settings")})
        except HarmonyError as error:
            self.trouble = str(error)
            return ReharmoniseState(self._keep["tune"])

    # What can be asked of it.

    @property
    def state(self) -> ReharmoniseState:
        """What is typed and set; another one can be assigned."""
        return self._state

    @state.setter
    def state(self, state: ReharmoniseState) -> None:
        self._go(state)

    @property
    def busy(self) -> bool:
        """Whether a search goes on."""
        return self._worker.busy

    @property
    def chosen(self) -> Row | None:
        """The way that is shown."""
        return self.ways.chosen(self._state.chosen) if self.ways else None

    @property
    def facts(self) -> str:
        """What was found and what is shown, in a few sentences."""
        if self.ways is None or self.chosen is None:
            return self.fault or "searching"
        shown = f"Shown: {self.chosen.name}, {numbers(self.chosen.values)}"
        return f"{summary(self.ways)}. {shown}."

    def wait(self, seconds: float = 60.0) -> bool:
        """Wait until nothing is searched or made any more; whether that is so."""
        found = self._worker.wait(seconds)
        while found and self._worker.busy:
            found = self._worker.wait(seconds)
        return found and self._engraver.wait(seconds) and self._player.wait(seconds)

    def stop(self) -> None:
        """Stop the search; what was found stays."""
        self._worker.stop()

    def set(self, control: str, value: str | bool = "") -> None:
        """Set a control.

        Raises
        ------
        HarmonyError
            If there is no such control, or its value cannot be.
        """
        if control not in CONTROLS:
            raise HarmonyError(f"there is no {control!r} to set", mend=", ".join(CONTROLS))
        options = OPTIONS.get(control, ())
        if options and value not in options:
            raise HarmonyError(f"{control} cannot be {value!r}", mend=", ".join(options))
        self._go(after_set(self._state, control, value))

    def press(self, part: str) -> None:
        """Press a bar of the chart, a mark of the plot, a row of the table, or a reason.

        Raises
        ------
        HarmonyError
            If there is no such part.
        """
        if part not in self.parts():
            raise HarmonyError(f"there is no {part!r} to press")
        kind, _, name = part.partition("-")
        if kind == "bar":
            self._go(toggled(self._state, int(name)))
        elif kind == "step":
            self._go(replace(self._state, step=int(name)))
        else:
            self._go(self._showing(name))

    def _showing(self, name: str) -> ReharmoniseState:
        """Return the state in which a way is shown, the neck at the first chord put in."""
        row = self.ways.chosen(name) if self.ways else None
        steps = row.arrangement.steps if row else ()
        first = next((n for n, step in enumerate(steps) if step.inserted), 0)
        beside = "" if self._state.beside == name else self._state.beside
        return replace(self._state, chosen=name, beside=beside, step=first)

    def parts(self) -> tuple[str, ...]:
        """Return what can be pressed."""
        if self.ways is None or self.chosen is None:
            return ()
        bars = dict.fromkeys(bar.number for bar in self.ways.tune.bars)
        steps = range(len(self.chosen.arrangement.steps))
        return (
            *(f"row-{row.id}" for row in self.ways.rows),
            *(f"bar-{number}" for number in bars),
            *(f"step-{n}" for n in steps),
        )

    def value_of(self, control: str) -> str | bool:
        """Return what a control stands at."""
        return value_of(self._state, control)

    def open(self, given: str) -> None:
        """Open a file by its path, or a tune that ships by its name.

        Raises
        ------
        HarmonyError
            If there is none, or it holds no tune.
        """
        self._took(*open_file(given))

    def take(self, name: str, data: bytes) -> None:
        """Take a file's name and what is in it, as from another computer.

        Raises
        ------
        HarmonyError
            If it holds no tune.
        """
        self._took(name, text_of(name, data))

    def _took(self, name: str, text: str) -> None:
        fresh = replace(self._state, text=text, name=name, number=0, locked=frozenset())
        self._go(replace(fresh, chosen="best-1", beside="", step=0))

    def export(self, what: str) -> Path:
        """Write one of ``reharmonise_export.EXPORTS`` of the way that is shown; return the file.

        Raises
        ------
        HarmonyError
            If nothing was found yet, or the file cannot be written.
        """
        if self.ways is None:
            raise HarmonyError("there is nothing to take away yet")
        return export(what, self.ways, self._state, self.folder)

    def move_on(self, chords: int) -> None:
        """Show another chord on the neck, so many chords on."""
        if self.chosen is None:
            return
        places = sounding_steps(self.chosen.arrangement)
        now = max((n for n, step in enumerate(places) if step <= self._state.step), default=0)
        place = min(max(now + chords, 0), len(places) - 1)
        self._go(replace(self._state, step=places[place]))

    def turn_page(self, pages: int) -> None:
        """Show other bars on the staff, so many pages on."""
        total = len(self.ways.tune.playing) if self.ways else 0
        last = max(0, (total - 1) // BARS * BARS)
        self._staff_first = min(max(self._staff_first + pages * BARS, 0), last)
        self._send()

    def draw(self) -> Drawing:
        """Return a still picture of all ways."""
        if self.ways is None:
            raise HarmonyError(self.fault or "nothing was found yet")
        return draw_ways(self.ways, self._state)

    # How it is found.

    def _go(self, state: ReharmoniseState) -> None:
        before = self._state
        with self._lock:
            self._state, self.trouble = state, ""
            if state.text != before.text:
                self._staff_first = 0
        # What was pressed is answered first; the search would take half of the time.
        answered = threading.Event()
        if state.asked != before.asked:
            self._search(answered)
        self._send()
        answered.set()

    def _search(self, answered: threading.Event | None = None) -> None:
        state = self._state

        def find(progress: Progress) -> Ways:
            if answered is not None:
                answered.wait(_PATIENCE)
            return find_best(state, progress)

        self._doing, self._progress = "the best", (0, 0)
        self._worker.start(find)

    def _found(self, ways: Ways) -> None:
        with self._lock:
            self.ways, self.fault, self._doing = ways, "", ""
            if ways.front is None:
                self._doing, self._progress = "the front", (0, 0)
        if ways.front is None:
            self._worker.start(lambda progress: find_front(ways, progress))
        self._send()

    def _failed(self, error: HarmonyError) -> None:
        with self._lock:
            self.fault, self._doing = str(error), ""
        self._send()

    def _told(self, done: int, total: int) -> None:
        with self._lock:
            self._progress = (done, total)
            if self._view is not None:
                self._view.show(status=self._status())

    def _was_stopped(self) -> None:
        with self._lock:
            self.trouble = f"the search for {self._doing} was stopped" if self._doing else ""
            self._doing = ""
        self._send()

    def _not_made(self, error: HarmonyError) -> None:
        with self._lock:
            self.trouble = str(error)
        self._send()

    # How it is shown.

    @property
    def view(self) -> ReharmoniseView:
        """The live view, made when it is first asked for."""
        if self._view is None:
            from harmonykit.workbook.reharmonise_view import ReharmoniseView

            exports = [{"id": each, "label": label} for each, (label, _) in EXPORTS.items()]
            kept = "" if self._keep is None else self._keep.path.name
            self._view = ReharmoniseView(title=self.title, exports=exports, kept=kept)
            self._view.on_msg(self._heard)
            self._send()
        return self._view

    def _send(self) -> None:
        """Show all as it stands.

        Workers hold a lock of their own when they come here: none of them is ever asked for
        anything while this one is held.
        """
        with self._lock:
            if self._view is None:
                return
            state = self._state
            self._view.show(
                text=state.text,
                view=state.view,
                status=self._status(),
                sounds=self._sound_keys(),
                source=source_html(state, self.fault, self.ways.tune.doubts if self.ways else ()),
                settings=settings_html(state),
                **self._regions(),
            )
            # What takes longest comes last: a long tune has a long chart.
            self._view.show(**self._long_regions(), shown=self._done)
        self._engrave()

    def _status(self) -> dict[str, Any]:
        done, total = self._progress
        said = self.facts if not self.fault or self.ways is not None else ""
        return {
            "busy": bool(self._doing),
            "doing": f"searching for {self._doing}" if self._doing else "",
            "done": done,
            "total": total,
            "said": said,
            "trouble": self.trouble,
            "written": self.written,
            "fault": bool(self.fault),
            "heard": self._turn,
        }

    def _regions(self) -> dict[str, str]:
        ways, state = self.ways, self._state
        if ways is None:
            return {}
        shown = (id(ways), ways.chosen(state.chosen).id, state.beside)
        table = (*shown, state.order, state.all_numbers)
        return {
            "plot": self._once("plot", shown, lambda: plot_html(ways, state)),
            "choices": self._once("choices", id(ways), lambda: choices_html(ways, state)),
            "table": self._once("table", table, lambda: table_html(ways, state)),
        }

    def _long_regions(self) -> dict[str, str]:
        ways, state = self.ways, self._state
        if ways is None:
            return {}
        shown, kept = (id(ways), ways.chosen(state.chosen).id), (state.beside, state.locked)
        step = (*shown, state.step)
        charts = self._charts_of(ways)
        regions = {
            "chart": self._once("chart", shown + kept, lambda: chart_html(ways, state, charts)),
            "reasons": self._once("reasons", step, lambda: reasons_html(ways, state)),
        }
        if state.view == "neck":
            regions["neck"] = self._once("neck", step, lambda: neck_html(ways, state))
        if state.view == "staff":
            regions["staff"] = self._staff[1]
        return regions

    def _charts_of(self, ways: Ways) -> Charts:
        """Return the charts of what was found, which are drawn once."""
        if self._charts[0] is not ways:
            self._charts = (ways, Charts())
        return self._charts[1]

    def _once(self, name: str, key: object, draw: Callable[[], str]) -> str:
        """Return a region as it was drawn, and draw it only where something in it has changed."""
        if name not in self._drawn or self._drawn[name][0] != key:
            self._drawn[name] = (key, draw())
        return self._drawn[name][1]

    def _engrave(self) -> None:
        """Begin to make the staff, where it is to be shown and is not there."""
        row, first = self.chosen, self._staff_first
        if self._state.view != "staff" or row is None:
            return
        key = (id(self.ways), row.id, first)
        if key != self._staff_asked:
            self._staff_asked = key
            self._engraver.start(lambda progress: self._engraved(row, key))

    def _engraved(self, row: Row, key: tuple[int, str, int]) -> Show:
        score = self._score[1] if self._score[0] == key[:2] else to_musicxml(row.arrangement)
        svg = staff_of(score, key[2])
        html = staff_html(svg, key[2], len(row.arrangement.tune.playing))

        def show() -> None:
            with self._lock:
                self._score, self._staff = (key[:2], score), (key, html)
            self._send()

        return show

    # What the browser says.

    def _heard(self, view: object, message: dict[str, Any], buffers: list[Any]) -> None:
        """Do what the browser says; what cannot be done is said in the line at the top."""
        before = self._state
        self.trouble, self._turn = "", int(message.get("turn", 0))
        try:
            self._do(message, buffers)
            if self._keep is not None and self._state != before:
                self._keep.put(**to_kept(self._state))
        except HarmonyError as error:
            self.trouble = str(error)
        self._done = self._turn
        self._send()

    def _do(self, message: dict[str, Any], buffers: list[Any]) -> None:
        if "press" in message:
            self.press(str(message["press"]))
        elif "set" in message:
            self.set(str(message["set"]), message.get("value", ""))
        elif "open" in message:
            self.open(str(message["open"]))
        elif "upload" in message:
            self.take(str(message["upload"]), bytes(buffers[0]))
        elif "hear" in message:
            self._hear(str(message["hear"]), message.get("have", ()))
        elif "export" in message:
            self.written = str(self.export(str(message["export"])).resolve())
        else:
            self._act(str(message.get("do", "")))

    def _act(self, what: str) -> None:
        acts: dict[str, Callable[[], None]] = {
            "stop": self.stop,
            "before": lambda: self.move_on(-1),
            "after": lambda: self.move_on(1),
            "earlier": lambda: self.turn_page(-1),
            "later": lambda: self.turn_page(1),
            "unlock": lambda: self._go(replace(self._state, locked=frozenset())),
        }
        if what in acts:
            acts[what]()

    def _sound_keys(self) -> dict[str, str]:
        """Return the names of the sounds of what is shown and what is beside it."""
        rows = self._heard_rows()
        return {which: f"{id(self.ways)}-{row.id}" for which, row in rows.items()}

    def _heard_rows(self) -> dict[str, Row]:
        if self.ways is None or self.chosen is None:
            return {}
        other = self.ways.get(self._state.beside)
        rows = {"chosen": self.chosen}
        return rows if other is None or other is self.chosen else rows | {"beside": other}

    def _hear(self, which: str, have: Collection[str]) -> None:
        """Begin to make the sounds that the browser lacks; each is sent when it is made.

        What was asked for comes first, then what it may be changed over to.
        """
        keys, rows = self._sound_keys(), self._heard_rows()
        wanted = sorted((name for name in rows if keys[name] not in have), key=which.__ne__)
        made = [(name, keys[name], rows[name]) for name in wanted]
        self._player.start(lambda progress: self._sounded(made, progress))

    def _sounded(self, wanted: list[tuple[str, str, Row]], progress: Progress) -> None:
        for place, (name, key, row) in enumerate(wanted):
            heard = sound_of_way(row.arrangement)
            progress(place + 1, len(wanted))
            with self._lock:
                if self._view is not None:
                    self._view.play(name, key, heard)

    def _repr_mimebundle_(self, include: object = None, exclude: object = None) -> dict[str, Any]:
        """Return the live view, and beside it text and a still picture for where none is alive."""
        live = self.view.as_mime()
        if self.ways is None:
            return {**live, "text/plain": self.facts}
        return {**live, **self.draw()._repr_mimebundle_(), "text/plain": self.facts}

    def __repr__(self) -> str:
        return f"<ReharmonisePanel: {self.facts}>"
