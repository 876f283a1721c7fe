"""Options of commands that are told in tables, or that several commands take."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from inspect import Parameter, Signature, signature
from typing import Annotated, Any, cast

import typer


def options_of_both(
    every: Callable[..., None],
    own: Callable[..., Any],
    before: Iterable[Parameter] = (),
    after: Iterable[Parameter] = (),
) -> Callable[..., None]:
    """`every`, which takes what all commands of a kind take, as the command `own`; options of both, those of
    `own` behind the first of `every`, between `before` and `after`.
    """
    first, *rest = _options(every)
    command: Any = every
    command.__name__, command.__doc__ = own.__name__, own.__doc__
    command.__signature__ = Signature([first, *before, *_options(own), *after, *rest])
    return cast("Callable[..., None]", command)


def helped(**words: str | tuple[str, str]) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """A command whose options are told in these words, by their names in Python; beside them what is shown in
    place of a value.
    """

    def told(parameter: Parameter) -> Parameter:
        found = words.get(parameter.name)
        if found is None:
            return parameter
        text, metavar = (found, None) if isinstance(found, str) else found
        return parameter.replace(
            annotation=Annotated[parameter.annotation, _option(parameter.name, text, metavar)]
        )

    def command(own: Callable[..., Any]) -> Callable[..., Any]:
        own.__signature__ = Signature([told(each) for each in _options(own, hidden=True)])  # type: ignore[attr-defined]
        return own

    return command


def text_option(name: str, words: str, metavar: str | None = None, default: str | None = "") -> Parameter:
    """An option of text, by its name in Python."""
    told = Annotated[str | None, _option(name, words, metavar)]
    return Parameter(name, Parameter.POSITIONAL_OR_KEYWORD, default=default, annotation=told)


def _option(name: str, words: str, metavar: str | None) -> Any:
    return typer.Option(f"--{name.replace('_', '-')}", help=words, metavar=metavar)


def taking(behind: str, options: Iterable[Parameter]) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """A command that takes `options` besides its own, told behind the one called `behind`."""

    def command(own: Callable[..., None]) -> Callable[..., None]:
        mine = _options(own)
        place = 1 + [each.name for each in mine].index(behind)
        own.__signature__ = Signature([*mine[:place], *options, *mine[place:]])  # type: ignore[attr-defined]
        return own

    return command


def _options(command: Callable[..., Any], hidden: bool = False) -> list[Parameter]:
    """What a shell may give a command; with `hidden` all that it takes."""
    parameters = signature(command, eval_str=True).parameters.values()
    return [each for each in parameters if hidden or each.kind is each.POSITIONAL_OR_KEYWORD]
