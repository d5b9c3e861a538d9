"""What schools of chord writing read differently, as one frozen value.

Each field of :class:`Dialect` is one doubt; its default is the reading that charts most often
mean (common practice, no source).  A reader lists the doubts that it met, so that a page can say
how it read them.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

from harmonykit.errors import HarmonyError

CHOICES: dict[str, tuple[str, ...]] = {
    "dim": ("seventh", "triad"),
    "seven_plus": ("augmented", "major seventh"),
    "triangle": ("major seventh", "triad"),
    "eleven": ("stack", "suspended"),
    "thirteen": ("stack", "without eleventh"),
    "two": ("added ninth", "suspended"),
    "four": ("suspended", "added eleventh"),
    "minus_nine": ("minor ninth", "flat ninth"),
    "plus_nine": ("augmented ninth", "sharp ninth"),
    "sus_nine": ("ninth", "added ninth"),
    "flat_root": ("root", "alteration"),
}


@dataclass(frozen=True, slots=True)
class Dialect:
    """How to read what schools write alike and mean differently.

    Parameters
    ----------
    dim : {"seventh", "triad"}
        ``Cdim`` and ``C°`` without a number.
    seven_plus : {"augmented", "major seventh"}
        ``C7+``.
    triangle : {"major seventh", "triad"}
        ``CΔ`` alone.
    eleven : {"stack", "suspended"}
        ``C11``: all thirds up to the eleventh, or no third.
    thirteen : {"stack", "without eleventh"}
        ``C13``.
    two : {"added ninth", "suspended"}
        ``C2``.
    four : {"suspended", "added eleventh"}
        ``C4``.
    minus_nine : {"minor ninth", "flat ninth"}
        ``C-9``.
    plus_nine : {"augmented ninth", "sharp ninth"}
        ``C+9``.
    sus_nine : {"ninth", "added ninth"}
        ``Csus9``.
    flat_root : {"root", "alteration"}
        ``Cb9``: a chord on C♭, or C7♭9.
    german : bool
        ``H`` is B natural, ``B`` is B♭, ``Fis`` and ``Es`` are read.
    lower_case_minor : bool
        ``c`` is C minor.
    alternates : bool
        ``G(Em)``: what stands in brackets is another chord, for print.

    Examples
    --------
    >>> Dialect(dim="triad").dim
    'triad'
    """

    dim: str = "seventh"
    seven_plus: str = "augmented"
    triangle: str = "major seventh"
    eleven: str = "stack"
    thirteen: str = "stack"
    two: str = "added ninth"
    four: str = "suspended"
    minus_nine: str = "minor ninth"
    plus_nine: str = "augmented ninth"
    sus_nine: str = "ninth"
    flat_root: str = "root"
    german: bool = False
    lower_case_minor: bool = False
    alternates: bool = False

    def __post_init__(self) -> None:
        for field in fields(self):
            value = getattr(self, field.name)
            allowed = CHOICES.get(field.name)
            if allowed is not None and value not in allowed:
                raise HarmonyError(
                    f"{value!r} is no setting of {field.name}", mend=" or ".join(map(repr, allowed))
                )


DEFAULT = Dialect()
