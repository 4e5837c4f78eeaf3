"""The command `quiescent`: nothing but reading arguments, starting things and printing.

Commands are loaded when they are called, so that `--help` and a small command never wait for a large library.
"""

from __future__ import annotations

import importlib

import click

_COMMANDS = {
    "demo": "tutor.cli.club",
    "serve": "tutor.cli.club",
    "solve": "tutor.cli.solving",
    "draw": "tutor.cli.questions",
    "mark": "tutor.cli.questions",
    "check": "tutor.cli.checking",
    "members": "tutor.cli.club",
    "backup": "tutor.cli.keeping",
    "restore": "tutor.cli.keeping",
    "doctor": "tutor.cli.keeping",
    "round": "tutor.cli.rounds",
    "benchmark": "tutor.cli.benchmark",
    "export": "tutor.cli.export",
}


class _Lazy(click.Group):
    """A group whose commands are imported when they are called."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click's own signature
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002 - as above
        module = _COMMANDS.get(cmd_name)
        if module is None:
            return None
        command: click.Command = getattr(importlib.import_module(module), {"round": "round_"}.get(cmd_name, cmd_name))
        return command


@click.group(cls=_Lazy, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="quiescent")
def main() -> None:
    """Quiescent: asks, marks and explains computed circuit problems."""
