"""What is told where a command lacks something: what it is, and an example to type."""

import re
from collections import Counter
from collections.abc import Sequence

import click


class OneOfEach(click.Group):
    """A group whose commands refuse a second value where they take one, and would drop the first.

    Examples
    --------
    >>> group = OneOfEach("kit", commands=[click.Command("sheet", params=[click.Option(["--to"])])])
    >>> group.main(["sheet", "--to", "a", "--to", "b"], standalone_mode=False)
    Traceback (most recent call last):
      ...
    click.exceptions.UsageError: --to is given 2 times: it takes one value
    """

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Return the command that is named, and its own arguments."""
        name, command, rest = super().resolve_command(ctx, args)
        if command is not None:
            _refuse_second(command, ctx, rest)
        return name, command, rest


def _refuse_second(command: click.Command, ctx: click.Context, args: Sequence[str]) -> None:
    own = click.Context(command, help_option_names=ctx.help_option_names)
    try:
        _, _, order = command.make_parser(own).parse_args([*args])
    except click.UsageError:
        return  # it is told when the command reads its arguments
    for option, times in Counter(order).items():
        one = isinstance(option, click.Option) and not (option.multiple or option.is_flag)
        if one and times > 1:
            raise click.UsageError(f"{option.opts[0]} is given {times} times: it takes one value")


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
