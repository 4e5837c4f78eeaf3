"""Printing: JSON for programs, plain lines for people, errors on the other stream."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import wraps
from typing import Any, ParamSpec, TypeVar

import click

from tutor.errors import QuiescentError

P = ParamSpec("P")
R = TypeVar("R")

as_json_option = click.option("--json", "as_json", is_flag=True, help="Print data as JSON.")


def print_json(data: Any) -> None:
    """Print data as JSON, readable and the same every time."""
    click.echo(json.dumps(data, ensure_ascii=False, indent=2))


def tells_errors(command: Callable[P, R]) -> Callable[P, R]:
    """Let a command end with the message of an error meant for people, and exit 1."""

    @wraps(command)
    def wrapped(*args: P.args, **kwargs: P.kwargs) -> R:
        try:
            return command(*args, **kwargs)
        except QuiescentError as error:
            raise click.ClickException(str(error)) from error

    return wrapped


def rounded(value: Any) -> Any:
    """Return a number to 12 significant figures: the last bits differ between machines and mean nothing."""
    return float(f"{value:.12g}") if isinstance(value, float) else value
