"""Writing a lesson's files, its play-alongs among them, and the manifest that names them all.

All files of a level come from one arrangement, and all files of a lesson are equally loud.  In a
mixed class each instrument has files of its own: its arrangement is another.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cached_property, partial
from pathlib import Path

from harmonykit.arrange.measures import ABOUT
from harmonykit.files.file import slug
from harmonykit.files.manifest import listed, write_manifest
from harmonykit.files.table import csv_text
from harmonykit.lesson import cues, playfiles, script, sharing
from harmonykit.lesson.handout import once, typeset
from harmonykit.lesson.handout.pdf import Variant, gather_handout
from harmonykit.lesson.page.html import Links, music_of, write_page
from harmonykit.lesson.plan.model import FIGURES, PARTS, Lesson, Picture, Played, Text
from harmonykit.lesson.plan.pictures import FOLDER, own_pictures
from harmonykit.lesson.playfiles import PlayFile
from harmonykit.lesson.statements.claims import claims_of
from harmonykit.lesson.statements.sentences import sentences_of
from harmonykit.lesson.together.pages import write_parts
from harmonykit.lesson.together.stems import stems_of
from harmonykit.sound.files import write_midi

KIND = "lesson"
QUESTIONS = "practice.html"
Task = tuple[str, Callable[[], object]]
# What gathers pages that another process sets, and what takes their PDF.
Setting = tuple[str, Callable[[], typeset.Unset], Callable[[bytes], object]]
# What makes a page of questions about a lesson: a later floor has it.
Questions = Callable[[Lesson], str]


class Writer:
    """Writes a lesson into an empty folder, with all that is played for each of a mixed class."""

    def __init__(
        self,
        lesson: Lesson,
        folder: Path,
        others: tuple[Lesson, ...] = (),
        questions: Questions | None = None,
    ) -> None:
        self.lesson, self.folder, self.others = lesson, folder, others
        self.questions = questions
        self.made: dict[str, str] = {}

    def settings(self) -> list[Setting]:
        """Return the pages that there are to set, which another process does beside the rest."""
        front, found = self.lesson.front, list[Setting]()
        if "handout" in front.outputs:
            found += [
                self._handout(lesson, variant)
                for lesson in (self.lesson, *self.others)
                for variant in ("", *front.variants)
            ]
        if "script" in front.outputs:
            write = partial(self._bytes, "cues.pdf", "lesson.cues")
            found.append(("cues", partial(cues.gather_cues, self.lesson), write))
        return found

    def tasks(self) -> list[Task]:
        """Return what there is to write, each with a word for the progress bar."""
        wanted = self.lesson.front.outputs
        found: list[Task] = [("figures", self._figures), ("tables", self._tables)]
        if "script" in wanted:
            found.append(("script", self._script))
        for lesson in (self.lesson, *self.others):
            prefix = self._prefix(lesson)
            if PARTS in wanted:
                found.append((f"{prefix}parts", partial(self._parts, lesson)))
            if "page" in wanted:
                found.append((f"{prefix}page", partial(self._page, lesson)))
            if "scores" in wanted:
                found += [
                    (f"score: {prefix}{played.stem}", partial(self._score, lesson, played))
                    for played in lesson.played
                ]
        return found

    def sounds(self) -> list[Task]:
        """Return the sounds that there are to make: arrays and encoders leave the rest alone."""
        if "sound" not in self.lesson.front.outputs:
            return []
        return [
            sound for lesson in (self.lesson, *self.others) for sound in self._sounds_of(lesson)
        ]

    def _sounds_of(self, lesson: Lesson) -> Iterator[Task]:
        front, prefix = lesson.front, self._prefix(lesson)
        made = partial(playfiles.tuning_files, front.instrument, front.playalong, prefix)
        yield f"sound: {prefix}tuning", partial(self._sound, made)
        if PARTS in front.outputs:
            yield (
                f"sound: {prefix}parts",
                partial(self._sound, partial(playfiles.part_files, lesson, prefix)),
            )
        for played in lesson.played:
            for take in front.playalong.takes:
                made = partial(playfiles.take_files, played, front.playalong, take, prefix)
                label = f"sound: {prefix}{played.level.name}{take.words}"
                yield label, partial(self._sound, made)
            for number, how in enumerate(played.level.practice, 1):
                made = partial(playfiles.practice_files, played, number, front.playalong, prefix)
                yield f"sound: {prefix}{how.words}", partial(self._sound, made)

    def _prefix(self, lesson: Lesson) -> str:
        """Return what stands before the files' names of another instrument of the class."""
        return "" if lesson is self.lesson else slug(lesson.front.instrument.name) + "-"

    def _path(self, name: str, made_by: str) -> Path:
        self.made[name] = made_by
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        return path

    def _text(self, name: str, text: str, made_by: str) -> None:
        self._path(name, made_by).write_text(text, encoding="utf-8", newline="\n")

    def _bytes(self, name: str, made_by: str, data: bytes) -> None:
        self._path(name, made_by).write_bytes(data)

    def _figures(self) -> None:
        for picture in pictures(self.lesson):
            for name, drawing in zip(picture.files, picture.drawings, strict=True):
                self._text(f"{FIGURES}/{name}", drawing.alone(), "show")

    def _script(self) -> None:
        folder = self.lesson.front.path.parent
        blocks = [block for section in self.lesson.sections for block in section.blocks]
        for block in (one for one in blocks if isinstance(one, Text)):
            for picture in own_pictures(block.markdown, folder):
                self._bytes(f"{FOLDER}/{picture.name}", "lesson.plan.pictures", picture.data)
        self._text("script.md", script.write_script(self.lesson, self.others), "lesson.script")
        if "page" in self.lesson.front.outputs:
            self._text("cues.html", cues.write_wall(self.lesson, self._music), "lesson.cues")

    @cached_property
    def _music(self) -> str:
        """What the lesson's own pages sound, made once for all of them."""
        return music_of(self.lesson)

    def _page(self, lesson: Lesson) -> None:
        prefix, practice = self._prefix(lesson), ""
        if self.questions is not None:
            practice = f"{prefix}{QUESTIONS}"
            self._text(practice, self.questions(lesson), "home.practice")
        music = self._music if lesson is self.lesson else music_of(lesson)
        names = [f"{prefix}{name}" for name in sharing.LESSON_PAGES]
        front = lesson.front
        if front.instrument.left_handed or not any(
            Variant.named(name).left_handed for name in front.variants
        ):
            names = names[:1]
        for left, name in enumerate(names):
            links = Links(practice, sharing.INDEX, *[each for each in names if each != name])
            page = write_page(lesson, links, music, left_handed=bool(left))
            self._text(name, page, "lesson.page.html")

    def _handout(self, lesson: Lesson, variant: str) -> Setting:
        ending = f"-{slug(variant)}" if variant else ""
        stem = f"{self._prefix(lesson)}handout{ending}"
        gather = partial(gather_handout, lesson, Variant.named(variant) if variant else None)
        return stem, gather, partial(self._bytes, f"{stem}.pdf", "lesson.handout.pdf")

    def _parts(self, lesson: Lesson) -> None:
        """Write a part for everyone, and each part's stem beside the play-alongs."""
        front, prefix = lesson.front, self._prefix(lesson)
        levels = [played.arrangement for played in lesson.played]
        pdf = write_parts(front.tune, front.instrument, front.knows, levels, paper=front.paper)
        self._bytes(f"{prefix}parts.pdf", "lesson.together.pages", pdf)
        if "sound" in front.outputs:
            for name, performance in stems_of(front.tune, front.instrument, front.knows):
                midi = write_midi(performance)
                self._bytes(f"{prefix}{name}.mid", "lesson.together.stems", midi)

    def _tables(self) -> None:
        # The rows of ``compare``, without loading pandas for three of them.
        rows = [(played.level.name, *played.measures.row) for played in self.lesson.played]
        self._table("comparison.csv", ("arrangement", *ABOUT), rows, "arrange.measures")
        stated = [row for lesson in (self.lesson, *self.others) for row in fact_rows(lesson)]
        header = ("line", "instrument", "statement", "proved", "proved by", "note")
        self._table("facts.csv", header, stated, "lesson.statements.facts")

    def _table(
        self, name: str, header: Sequence[str], rows: Iterable[Sequence[object]], made_by: str
    ) -> None:
        self._text(name, csv_text(header, rows), made_by)

    def _score(self, lesson: Lesson, played: Played) -> None:
        title = f"{lesson.front.tune.title}: {played.level.name}"
        score = once.score_text(played.arrangement, title)
        self._text(f"{self._prefix(lesson)}{played.stem}.musicxml", score, "arrange.score")

    def _sound(self, make: Callable[[], Iterable[PlayFile]]) -> None:
        for file in make():
            with self._path(file.name, file.made_by).open("wb") as target:
                file.write(target)

    def index(self, before: Path) -> tuple[str, ...]:
        """Write the index of the folder; return what changed since the build ``before``."""
        said = tuple(sharing.changes_since(listed(before), self.folder, self.made))
        if "page" in self.lesson.front.outputs:
            text = sharing.write_index(self.lesson, self.others, self.made, said)
            self._text(sharing.INDEX, text, "lesson.sharing")
        return said

    def manifest(self) -> None:
        """Write what every file is, what made it, and the hash of what it holds."""
        front = self.lesson.front
        about = {
            "lesson": front.title,
            "tune": front.tune.title,
            "instruments": [one.front.instrument.name for one in (self.lesson, *self.others)],
            "levels": [played.level.name for played in self.lesson.played],
            "doubts": list(front.tune.doubts),
        }
        write_manifest(self.folder, KIND, about, self.made)


def fact_rows(lesson: Lesson) -> Iterator[tuple[int, str, str, str, str, str]]:
    """Yield the sentences of a lesson's text, proved or not, and what is proved without words.

    Each with its line, the instrument, whether it is proved and how, and what its author is told.
    """
    name, told = lesson.front.instrument.name, set()
    said = {(claim.sentence.line, claim.sentence.text): claim.note for claim in claims_of(lesson)}
    for one in sentences_of(lesson):
        if one.fact is None:
            note = said.get((one.line, one.text), one.note)
            yield one.line, name, one.text, "no", "", note
        else:
            told.add(one.fact.sentence)
            yield one.line, name, one.text, "yes", one.fact.proof, ""
    for fact in lesson.facts:
        if fact.sentence not in told:
            yield fact.line, name, fact.sentence, "yes", fact.proof, ""


def pictures(lesson: Lesson) -> list[Picture]:
    """Return a lesson's pictures in order, each once."""
    found = [b for section in lesson.sections for b in section.blocks if isinstance(b, Picture)]
    return list(dict.fromkeys(found))
