"""`quiescent benchmark`: our figures beside their yardsticks, measured in the same run."""

from __future__ import annotations

import click

from tutor.cli.printing import as_json_option, print_json


@click.command()
@as_json_option
def benchmark(as_json: bool) -> None:
    """Measure ours against yardsticks, in turns, and print the ratios."""
    from tutor.bootstrap.benchmark import rows

    found = []
    for row in rows():
        found.append(
            {
                "what": row.name,
                "seconds": row.ours,
                "yardstick": row.yardstick,
                "yardstick_seconds": row.theirs,
                "ratio": round(row.ratio, 3),
                "aim": row.aim,
                "met": row.met,
                "note": row.note,
            }
        )
        if not as_json:
            verdict = "met" if row.met else "MISSED"
            click.echo(
                f"{row.name:<44} {_time(row.ours):>9}   {row.yardstick:<42} {_time(row.theirs):>9}   "
                f"× {row.ratio:>8.2f}  aim {row.aim:g}: {verdict}"
            )
            if row.note:
                click.echo(f"{'':<8}{row.note}")
    if as_json:
        print_json(found)


def _time(seconds: float) -> str:
    for unit, size in (("s", 1.0), ("ms", 1e-3), ("µs", 1e-6)):
        if seconds >= size:
            return f"{seconds / size:.3g} {unit}"
    return f"{seconds / 1e-9:.3g} ns"
