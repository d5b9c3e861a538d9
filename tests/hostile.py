"""Texts that do harm where they are taken for code, and a lesson that bears one everywhere."""

from __future__ import annotations

import json
from pathlib import Path

OLD = Path(__file__).resolve().parent / "data" / "0.1.0"
HOSTILE = {
    "a script": '<script>window.taken = 1</script>',
    "a closed script": '</script><script>window.taken = 1</script>',
    "a closed style": '</style><script>window.taken = 1</script>',
    "a picture that fails": '<img src=x onerror="window.taken = 1">',
    "a picture in SVG": '<svg onload="window.taken = 1"/>',
    "an end of a comment": '--><script>window.taken = 1</script><!--',
    "an attribute's end": '" autofocus onfocus="window.taken = 1',
    "a single quote": "' onclick='window.taken = 1",
    "a link": '[press](javascript:window.taken=1)',
    "a template": "{% raw %}{{ ''.__class__ }}{% endraw %}${window.taken = 1}",
    "typst": '#eval("1") #import "x" $ x $ *b* _i_ @cite',
    "backslashes": "\\u003cscript\\u003e \\x3c \\n \\0",
    "an entity": "&lt;b&gt; &amp;amp; &#60;",
    "JSON": '"},{"x":"',
    "a formula": '=HYPERLINK("x","y")',
    "a direction": "\u202egnp.exe \u2066x",
    "nothing": "a\0b",
    "a bell": "\x07\x1b[31mred\x1b[0m",
    "a long word": "W" * 10_000,
    "many words": "word " * 2_000 + "end",
    "marks on marks": "a" + "\u0301" * 500,
    "little pictures": "\U0001f3bb\U0001f469\u200d\U0001f467 \U0001f1e9\U0001f1ea",
}  # fmt: skip


def written(folder: Path, text: str) -> Path:
    """Write a lesson whose title, class, level and tune are all called by a hostile text."""
    tune = (OLD / "lantern_steps.toml").read_text(encoding="utf-8")
    said = json.dumps(text, ensure_ascii=False)
    tune = tune.replace('"Lantern Steps"', said, 1)
    assert said in tune
    (folder / "tune.toml").write_text(tune, encoding="utf-8")
    path = folder / "hostile.md"
    path.write_text(
        f"+++\nformat = 2\ntitle = {said}\nsubtitle = {said}\nclass = {said}\nrights = {said}\n"
        f'tune = "tune.toml"\ninstrument = "ukulele"\nchord = "F#dim7"\n'
        'outputs = ["script", "page", "handout"]\n\n'
        f"[[levels]]\nname = {said}\nwatch = {said}\n+++\n\n## The idea\n\nHold it.\n",
        encoding="utf-8",
    )
    return path
