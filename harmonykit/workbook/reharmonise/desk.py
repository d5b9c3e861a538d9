"""An arranger's desk: the tune, what may be done with it, what was found, and what is looked at.

It searches in threads of its own: first the tune as written and the best, then the front.  What was
found last stays until there is something else, also while what is typed cannot be read.  What may
show it overrides ``Desk._show``, which is called after each change, from any thread.
"""

import threading
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from harmonykit.arrange.idioms.reading import parse_idioms, text_beside
from harmonykit.arrange.moves import MOVES, USUAL
from harmonykit.errors import HarmonyError
from harmonykit.paths import find_data
from harmonykit.score.typed import open_file, text_of
from harmonykit.workbook.base import live, scene, work
from harmonykit.workbook.base.keep import Keep
from harmonykit.workbook.reharmonise import controls
from harmonykit.workbook.reharmonise import state as states
from harmonykit.workbook.reharmonise import ways as seeking
from harmonykit.workbook.reharmonise.charts import sounding_steps
from harmonykit.workbook.reharmonise.decisions import Decisions
from harmonykit.workbook.reharmonise.export import FOLDER, export
from harmonykit.workbook.reharmonise.framing import framing_of, phrases_of
from harmonykit.workbook.reharmonise.plot import numbers, summary
from harmonykit.workbook.reharmonise.state import ReharmoniseState
from harmonykit.workbook.reharmonise.ways import Row, Ways

KIND = "reharmonise"
KEPT = "reharmonise-kept.json"
# Seconds that a search waits for the page at most.
_PATIENCE = 1.0


class Desk:
    """What an arranger has before them.

    Its parameters are those of ``panel.ReharmonisePanel``, which shows it.

    Attributes
    ----------
    ways : Ways or None
        What was found last.
    fault : str
        Why the tune that is typed cannot be used, or nothing.
    trouble : str
        What was wrong with the last thing asked, or nothing.

    Examples
    --------
    >>> desk = Desk("slack_water_waltz", moves=["leading-tone diminished"], keep=None)
    >>> desk.wait(60)
    True
    >>> desk.press("row-written")
    >>> print(desk.facts.split(". ")[1])
    Shown: as written, 50 semitones, 113 mm, no added chords.
    """

    def __init__(
        self,
        tune: str | Path = "heron_landing",
        instrument: str = "ukulele",
        moves: Iterable[str] = USUAL,
        *,
        keep: str | Path | None = KEPT,
        folder: str | Path = FOLDER,
    ) -> None:
        self.folder = Path(folder)
        self.ways: Ways | None = None
        self.fault = self.trouble = ""
        # How often something was found, and how often for something that was asked anew.
        self._found_count = self._search_count = 0
        self._near = False
        self._doing, self._progress = "", (0, 0)
        self._lock = threading.RLock()
        self._worker: work.Worker[Ways] = work.Worker(
            self._found, self._failed, self._told, self._was_stopped
        )
        self._keep = None if keep is None else Keep(keep, KIND)
        self._state = self._restored() or _first(tune, instrument, moves)
        self._search()

    def _restored(self) -> ReharmoniseState | None:
        """Return the state that was kept, if one was."""
        if self._keep is None:
            return None
        self.trouble = self._keep.trouble
        if "tune" not in self._keep:
            return None
        try:
            return states.from_kept({name: self._keep.get(name) for name in ("tune", "settings")})
        except HarmonyError as error:
            self.trouble = str(error)
            return ReharmoniseState(self._keep["tune"])

    # What is on it.

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

    @property
    def decided(self) -> Decisions:
        """What was decided, by the bars and moments of the tune as it is shown."""
        decided = self._state.decided
        return self.ways.framing.shown(decided) if self.ways else decided

    def _kept(self, shown: Decisions) -> Decisions:
        """Return what is decided now as it is kept: by the tune's own bars."""
        return self.ways.framing.kept(self._state.decided, shown) if self.ways else shown

    def value_of(self, control: str) -> scene.Value:
        """Return what a control stands at."""
        return controls.value_of(self._state, control)

    def parts(self) -> tuple[str, ...]:
        """Return what can be pressed."""
        if self.ways is None or self.chosen is None:
            return ()
        own = self.ways.framing
        bars = dict.fromkeys(b.number for b in own.tune.bars if b.number in own.numbers)
        steps = range(len(self.chosen.arrangement.steps))
        return (
            *(f"row-{row.id}" for row in self.ways.rows),
            *(f"bar-{number}" for number in bars),
            *(f"step-{n}" for n in steps),
            *(f"key-{n}" for n in range(len(states.keys_offered(own.own)))),
        )

    # What can be done.

    def set(self, control: str, value: scene.Value = "") -> None:
        """Set a control.

        Raises
        ------
        HarmonyError
            If there is no such control, or its value cannot be.
        """
        options = {each: controls.OPTIONS.get(each, ()) for each in controls.CONTROLS}
        own = self.ways.framing.own if self.ways else None
        count = len(phrases_of(own)) if own else 0
        live.check_value(control, value, options | controls.contours(count))
        state = controls.after_set(self._state, control, value)
        if own and state.decided.frame != self._state.decided.frame:
            framing_of(own, state.decided)  # what cannot be framed is refused where it is asked
        self._go(state)

    def press(self, part: str) -> None:
        """Press a bar of the chart, a mark of the plot, a row, a reason, or a likely key.

        Raises
        ------
        HarmonyError
            If there is no such part.
        """
        self.check(part)
        kind, _, name = part.partition("-")
        if kind == "bar":
            self._go(replace(self._state, decided=self._kept(self.decided.toggled(int(name)))))
        elif kind == "key" and self.ways is not None:
            key, _ = states.keys_offered(self.ways.framing.own)[int(name)]
            self._go(states.with_key(self._state, key))
        elif kind == "step":
            self._go(replace(self._state, step=int(name)))
        else:
            self._go(self._showing(name))

    def check(self, part: str) -> None:
        """Refuse to press what is not there.

        Raises
        ------
        HarmonyError
            If there is no such part.
        """
        live.check_part(part, self.parts())

    def _showing(self, name: str) -> ReharmoniseState:
        """Return the state in which a way is shown, the neck at the first chord put in."""
        row = self.ways.chosen(name) if self.ways else None
        steps = row.arrangement.steps if row else ()
        first = next((n for n, step in enumerate(steps) if step.added), 0)
        beside = "" if self._state.beside == name else self._state.beside
        return replace(self._state, chosen=name, beside=beside, step=first)

    def unlock(self) -> None:
        """Let all bars and chords change, and allow what was refused."""
        decided = replace(self._state.decided, locked=frozenset(), wanted=(), refused=())
        self._go(replace(self._state, decided=decided))

    def move_on(self, chords: int) -> None:
        """Show another chord on the neck, so many chords on."""
        if self.chosen is None:
            return
        places = sounding_steps(self.chosen.arrangement)
        now = max((n for n, step in enumerate(places) if step <= self._state.step), default=0)
        place = min(max(now + chords, 0), len(places) - 1)
        self._go(replace(self._state, step=places[place]))

    def open(self, given: str) -> None:
        """Open a file by its path, or a tune that ships by its name.

        Raises
        ------
        HarmonyError
            If there is none, or it holds no tune.
        """
        self._took(*_opened(given))

    def take(self, name: str, data: bytes) -> None:
        """Take a file's name and what is in it, as from another computer.

        Raises
        ------
        HarmonyError
            If it holds no tune.
        """
        self._took(name, text_of(name, data))

    def _took(self, name: str, text: str, idioms: str = "") -> None:
        fresh = states.with_tune(self._state, text, name)
        self._go(replace(fresh, idioms=idioms, chosen=seeking.FIRST, beside="", step=0))

    def export(self, what: str) -> Path:
        """Write a file of the way that is shown; return the file.

        It is a ``"score"``, a ``"lead"`` sheet, ``"midi"``, ``"pages"``, a ``"tune"``, a
        ``"table"`` or a ``"lesson"``.

        Raises
        ------
        HarmonyError
            If nothing was found yet, or the file cannot be written.
        """
        if self.ways is None:
            raise HarmonyError("nothing to export yet")
        return export(what, self.ways, self._state, self.folder)

    def stop(self) -> None:
        """Stop the search; what was found stays."""
        self._worker.stop()

    def wait(self, seconds: float = 60.0) -> bool:
        """Wait until nothing is searched any more; whether that is so."""
        found = self._worker.wait(seconds)
        while found and self._worker.busy:
            found = self._worker.wait(seconds)
        return found

    def keep(self) -> None:
        """Write what is typed and set into the file in which it is kept."""
        if self._keep is not None:
            self.trouble = self._keep.put(**states.to_kept(self._state)) or self.trouble

    # How it is found.

    def _show(self) -> None:
        """Show all as it now stands."""

    def _progressed(self) -> None:
        """Show how far the search is."""

    def _go(self, state: ReharmoniseState) -> None:
        before = self._state
        with self._lock:
            self._state, self.trouble = state, ""
        # What was pressed is answered first; the search would take half of the time.
        answered = threading.Event()
        if state.asked != before.asked:
            self._search(answered)
        self._show()
        answered.set()

    def _search(self, answered: threading.Event | None = None) -> None:
        state = self._state

        def find(progress: work.Progress) -> Ways:
            if answered is not None:
                answered.wait(_PATIENCE)
            return seeking.find_best(state, progress)

        self._doing, self._progress = "the best arrangements", (0, 0)
        self._worker.start(find)

    def _found(self, ways: Ways) -> None:
        goes_on = ways.front is None
        with self._lock:
            self.ways, self.fault = ways, ""
            self._found_count += 1
            self._search_count += goes_on
            self._near = False
            self._doing, self._progress = "the Pareto front" if goes_on else "", (0, 0)
        if goes_on:
            self._worker.start(lambda progress: seeking.find_front(ways, progress))
        self._show()

    @property
    def _is_near(self) -> bool:
        """Whether what is shown was found around a place alone, and the whole is sought."""
        return self._near and bool(self._doing)

    def _failed(self, error: HarmonyError) -> None:
        with self._lock:
            self.fault, self._doing = str(error), ""
        self._show()

    def _told(self, done: int, total: int) -> None:
        with self._lock:
            self._progress = (done, total)
        self._progressed()

    def _was_stopped(self) -> None:
        with self._lock:
            self.trouble = f"the search for {self._doing} was stopped" if self._doing else ""
            self._doing = ""
        self._show()


def _first(tune: str | Path, instrument: str, moves: Iterable[str]) -> ReharmoniseState:
    """Return the state with which a desk begins where nothing was kept."""
    name, text, idioms = _opened(str(tune))
    allowed = set(moves)
    used = tuple(move for move in MOVES if move in allowed)
    return ReharmoniseState(text, name, idioms=idioms, moves=used, instrument=instrument)


def _opened(given: str) -> tuple[str, str, str]:
    """Return name and text of a tune's file, and the text of the user's own idioms beside it.

    Raises
    ------
    HarmonyError
        If one of the two cannot be read.
    """
    path = find_data("tunes", given.strip().strip("\"'"))
    name, text = open_file(given)
    if idioms := text_beside(path):
        parse_idioms(idioms)
    return name, text, idioms
