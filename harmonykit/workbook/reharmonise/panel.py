"""The page for an arranger: reharmonise a tune, compare the ways by numbers, take one away.

Three layers: ``state`` says what may be set and ``ways`` finds what follows from it; plot, charts
and page draw it; and ``ReharmonisePanel`` is the thin view of a
``harmonykit.workbook.reharmonise.deciding.DecidingDesk``.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from harmonykit.arrange.moves import USUAL
from harmonykit.arrange.score import shape_score
from harmonykit.draw.drawing import Drawing
from harmonykit.errors import HarmonyError
from harmonykit.workbook.base.live import Answers, Live, Said
from harmonykit.workbook.base.work import Once, Progress, Worker
from harmonykit.workbook.reharmonise import deciding, desk, export, page, plot
from harmonykit.workbook.reharmonise.charts import BARS, Charts, staff_of
from harmonykit.workbook.reharmonise.state import FIGURES
from harmonykit.workbook.reharmonise.ways import Row, Ways

if TYPE_CHECKING:
    from harmonykit.workbook.base.view import ReharmoniseView

Show = Callable[[], None]


class ReharmonisePanel(deciding.DecidingDesk, Live["ReharmoniseView"]):
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
    >>> moves = ["leading-tone diminished"]
    >>> panel = hk.workbook.ReharmonisePanel("slack_water_waltz", moves=moves, keep=None)
    >>> panel.wait(60)
    True
    >>> panel.press("bar-1")
    >>> panel.wait(60), panel.state.locked
    (True, frozenset({1}))
    """

    title = "reharmonise a tune"

    def __init__(
        self,
        tune: str | Path = "heron_landing",
        instrument: str = "ukulele",
        moves: Iterable[str] = USUAL,
        *,
        keep: str | Path | None = desk.KEPT,
        folder: str | Path = export.FOLDER,
    ) -> None:
        self.written = ""
        self._written_of = ""
        # The numbers of the message that is being answered, and of the last that was.
        self._turn = self._done = 0
        self._drawn = Once()
        self._first_bar = 0
        self._staff: tuple[object, str] = (None, "")
        self._staff_asked: object = None
        self._engraver: Worker[Show] = Worker(lambda show: show(), self._not_made)
        self._player: Worker[None] = Worker(lambda _: None, self._not_made)
        super().__init__(tune, instrument, moves, keep=keep, folder=folder)

    def wait(self, seconds: float = 60.0) -> bool:
        """Wait until nothing is searched or made any more; whether that is so.

        Parameters
        ----------
        seconds : float
            How long at most.

        Returns
        -------
        bool
        """
        found = super().wait(seconds)
        return found and self._engraver.wait(seconds) and self._player.wait(seconds)

    def turn_page(self, pages: int) -> None:
        """Show other bars on the staff, so many pages on.

        Parameters
        ----------
        pages : int
        """
        total = len(self.ways.tune.playing) if self.ways else 0
        last = max(0, (total - 1) // BARS * BARS)
        self._first_bar = min(max(self._first_bar + pages * BARS, 0), last)
        self._show()

    def draw(self) -> Drawing:
        """Return a still picture of all ways.

        Returns
        -------
        Drawing

        Raises
        ------
        HarmonyError
            If no arrangement was found.
        """
        if self.ways is None:
            raise HarmonyError(self.fault or "nothing found yet")
        return plot.draw_ways(self.ways, self._state)

    # How it is shown.

    def _make_view(self) -> ReharmoniseView:
        from harmonykit.workbook.base.view import ReharmoniseView

        exports = [{"id": each, "label": label} for each, (label, _) in export.EXPORTS.items()]
        kept = "" if self._keep is None else self._keep.path.name
        return ReharmoniseView(title=self.title, exports=exports, kept=kept)

    def _show(self) -> None:
        """Show all as it stands.

        Workers hold a lock of their own when they come here: none of them is ever asked for
        anything while this one is held.
        """
        with self._lock:
            if self._view is None:
                return
            state, ways = self._state, self.ways
            self._view.show(
                text=state.text,
                view=state.view,
                status=self._status(),
                sounds=self._sound_keys(),
                source=page.source_html(state, self.fault, ways.framing.own if ways else None),
                settings=page.settings_html(state),
                direct=page.direct_html(state),
                **(self._regions(ways) if ways else {}),
            )
            # What takes longest comes last: a long tune has a long chart.
            self._view.show(**(self._long_regions(ways) if ways else {}), shown=self._done)
        self._engrave()

    def _progressed(self) -> None:
        with self._lock:
            if self._view is not None:
                self._view.show(status=self._status())

    def _status(self) -> dict[str, Any]:
        done, total = self._progress
        return {
            "busy": bool(self._doing),
            "doing": f"searching for {self._doing}" if self._doing else "",
            "done": done,
            "total": total,
            "said": self.facts if self.ways is not None else "",
            "trouble": self.trouble,
            "written": self.written if self._written_of == self._state.text else "",
            "fault": bool(self.fault),
            "heard": self._turn,
            "undo": self.history.can_undo,
            "redo": self.history.can_redo,
        }

    def _regions(self, ways: Ways) -> dict[str, str]:
        state = self._state
        if self._is_near:  # the chart alone, at once; the rest when the whole is found
            return {"menu": self._menu()}
        shown = (ways.chosen(state.chosen).id, state.beside)
        table = (*shown, state.order, state.all_numbers)
        return {
            "plot": self._once("plot", shown, lambda: plot.live_ways(ways, state)),
            "choices": self._once("choices", (), lambda: page.choices_html(ways)),
            "menu": self._menu(),
            "table": self._once("table", table, lambda: page.table_html(ways, state)),
        }

    def _long_regions(self, ways: Ways) -> dict[str, str]:
        state = self._state
        charts = self._drawn.get("shapes", self._search_count, Charts)
        chosen = ways.chosen(state.chosen).id
        chart, step = (chosen, state.beside, state.decided), (chosen, state.step)
        regions = {
            "chart": self._once("chart", chart, lambda: page.chart_html(ways, state, charts)),
            "reasons": self._once(
                "reasons", (chosen, state.beside), lambda: page.reasons_html(ways, state)
            ),
        }
        if state.view == "neck":
            regions["neck"] = self._once("neck", step, lambda: page.neck_html(ways, state))
        if state.view == "staff":
            regions["staff"] = self._staff[1]
        if state.view in FIGURES:
            shown = (state.view, chosen, state.beside)
            figure = self._once("figure", shown, lambda: page.figure_html(ways, state))
            regions["figure"] = figure
        return regions

    def _menu(self) -> str:
        if self.place is None:
            return ""
        free = self.is_free(self.place)
        return page.place_html(self.place, self.way, self.decided, self.others, free=free)

    def _once(self, name: str, key: tuple[Hashable, ...], draw: Callable[[], str]) -> str:
        """Return a region as it was drawn, and draw it only where something in it has changed."""
        return self._drawn.get(name, (self._found_count, *key), draw)

    def _engrave(self) -> None:
        """Begin to make the staff, where it is to be shown and is not there."""
        row = self.chosen
        if self._state.view != "staff" or row is None:
            return
        bars = len(row.arrangement.tune.playing)
        first = self._first_bar if self._first_bar < bars else 0
        key = (self._search_count, row.id, first)
        if key != self._staff_asked:
            self._staff_asked, self._first_bar = key, first
            self._engraver.start(lambda _: self._engraved(row, key))

    def _engraved(self, row: Row, key: tuple[int, str, int]) -> Show:
        svg = staff_of(shape_score(row.arrangement), key[2])
        html = page.staff_html(svg, key[2], len(row.arrangement.tune.playing))

        def show() -> None:
            with self._lock:
                self._staff = (key, html)
            self._show()

        return show

    def _not_made(self, error: HarmonyError) -> None:
        with self._lock:
            self.trouble = str(error)
        self._show()

    # What the browser says.

    def _do(self, said: Said) -> None:
        """Do what the browser says, and keep what is set anew."""
        before = self._state
        self.trouble, self._turn = "", int(said.content.get("turn", 0))
        super()._do(said)
        if self._state != before:
            self.keep()

    def _answered(self, _said: Said, refused: HarmonyError | None) -> None:
        """Say what cannot be done where it was asked."""
        if refused:
            self.trouble = str(refused)
        self._done = self._turn
        self._show()

    def _answers(self) -> Answers:
        return {
            "press": lambda said: self._pressed(said.text("press")),
            "set": lambda said: self.set(said.text("set"), said.content.get("value", "")),
            "open": lambda said: self.open(said.text("open")),
            "upload": lambda said: self.take(said.text("upload"), said.file),
            "hear": lambda said: self._hear(said.text("hear"), said.content.get("have", ())),
            "export": lambda said: self._take_away(said.text("export")),
            "do": lambda said: self._act(said.text("do")),
        }

    def _take_away(self, what: str) -> None:
        if what not in export.EXPORTS:
            raise HarmonyError(f"unknown export {what!r}", mend=", ".join(export.EXPORTS))
        self.written, self._written_of = str(self.export(what).resolve()), self._state.text
        if what == "lesson" and self.ways is not None:
            lost = export.left_out(self.ways.chosen(self._state.chosen), self._state)
            self.written += f", {lost}" if lost else ""

    def _pressed(self, part: str) -> None:
        """Press a part; what could stand at a place is heard when it is pressed."""
        self.press(part)
        if part.startswith(deciding.OTHER):
            self._hear_place()

    def _act(self, what: str) -> None:
        acts: dict[str, Callable[[], None]] = {
            "stop": self.stop,
            "unlock": self.unlock,
            "refuse": self.refuse,
            "lock": self.lock,
            "close": self.close,
            "undo": self.undo,
            "redo": self.redo,
            "hear-place": self._hear_place,
            "before": lambda: self.move_on(-1),
            "after": lambda: self.move_on(1),
            "earlier": lambda: self.turn_page(-1),
            "later": lambda: self.turn_page(1),
        }
        if what in acts:
            acts[what]()

    def _heard_rows(self) -> dict[str, Row]:
        """Return what can be heard: what is shown, and what stands beside it."""
        if self.ways is None or self.chosen is None:
            return {}
        other = self.ways.get(self._state.beside)
        rows = {"chosen": self.chosen}
        return rows if other is None or other is self.chosen else rows | {"beside": other}

    def _sound_keys(self) -> dict[str, str]:
        """Return the names of the sounds: the front, found later, leaves the best as they are."""
        rows = self._heard_rows()
        return {which: f"{self._search_count}-{row.id}" for which, row in rows.items()}

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
            heard = export.sound_of_way(row.arrangement)
            progress(place + 1, len(wanted))
            with self._lock:
                if self._view is not None:
                    self._view.hand(heard.wav, sound=name, key=key, times=heard.times)

    def _hear_place(self) -> None:
        """Make the sound of the bars round the place; it is played when it is there."""
        if self.place is None:
            return
        way, slot = self.way, self.place.slot
        last = len(way.tune.playing) - 1
        bars = range(max(slot.bar - 1, 0), min(slot.pieces[-1].bar + 1, last) + 1)

        def make(_: Progress) -> None:
            data = export.sound_of_bars(way, bars)
            with self._lock:
                if self._view is not None:
                    self._view.hand(data, sound="place", key="place", times={})

        self._player.start(make)

    def _still(self) -> Drawing | None:
        return None if self.ways is None else self.draw()

    def _words(self, _still: Drawing | None) -> str:
        return self.facts

    def __repr__(self) -> str:
        return f"<ReharmonisePanel: {self.facts}>"
