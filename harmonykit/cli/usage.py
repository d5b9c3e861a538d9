"""What is told where a command lacks something: what it is, and an example to type."""

import re

import click


def lacking(error: click.ClickException, command: click.Command | None) -> tuple[str, ...]:
    """Return the lines that tell what a command line lacks; none for other errors.

    Examples
    --------
    >>> lacking(click.UsageError("name the FILE"), click.Command("sheet"))
    ()
    """
    said = "" if command is None else _said(error, command)
    if not said or command is None:
        return ()
    name = re.escape(getattr(error, "option_name", ""))
    best = re.search(rf"^\s*(\S.* {name} .*)", command.help or "", re.M) if name else None
    example = best or re.search(r"Examples?:\n\s*(\S.*)", command.help or "")
    return (said, *([f"  try: {example[1]}"] if example else []))


def _said(error: click.ClickException, command: click.Command) -> str:
    if isinstance(error, click.MissingParameter) and error.param is not None:
        if isinstance(error.param, click.Option):
            return f"{error.param.opts[0]} is missing: {_in_small(error.param)}"
        return f"{error.param.make_metavar(click.Context(command)).strip('[].')} is missing"
    if isinstance(error, click.BadOptionUsage) and " requires " in error.message:
        named = (each for each in command.params if error.option_name in each.opts)
        for option in named:
            follows = option.make_metavar(click.Context(command))
            return f"after {error.option_name} stands {follows}: {_in_small(option)}"
    return ""


def _in_small(option: click.Parameter) -> str:
    told = getattr(option, "help", "") or ""
    return (told[:1].lower() + told[1:]).rstrip(".")
