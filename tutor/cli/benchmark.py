"""`quiescent benchmark`: our figures beside their yardsticks, measured in the same run."""

from __future__ import annotations

import click

from tutor.cli.printing import as_json_option, print_json


@click.command()
@click.option("--learning", is_flag=True, help="Let made-up members practise, and check the learner model's targets.")
@click.option(
    "--seeds", default=6, show_default=True, type=click.IntRange(1, 100), help="Runs of each, for --learning."
)
@click.option("--large", is_flag=True, help="Measure pages over a million attempts; takes some minutes.")
@as_json_option
@click.pass_context
def benchmark(context: click.Context, learning: bool, seeds: int, large: bool, as_json: bool) -> None:
    """Measure ours against yardsticks, in turns, and print the ratios."""
    if learning:
        context.exit(_learning(seeds, as_json))
    from tutor.bootstrap.benchmark import rows
    from tutor.bootstrap.benchmark_large import large_rows
    from tutor.bootstrap.benchmark_peers import missing_peers

    if not large:
        for name in missing_peers():
            click.echo(f"{name} is not installed; its rows are left out", err=True)
    found = []
    for row in large_rows() if large else rows():
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


def _learning(seeds: int, as_json: bool) -> int:
    """Run the simulation; return 1 when a target is missed."""
    from tutor.bootstrap.benchmark_learning import Verdict, learning_lines, verdict_line

    verdicts = []
    for line in learning_lines(seeds, lambda text: click.echo(f"\r{text} ", nl=False, err=True)):
        if isinstance(line, Verdict):
            verdicts.append(line)
        if not as_json:
            click.echo(verdict_line(line) if isinstance(line, Verdict) else line)
    if as_json:
        keys = ("what", "found", "least", "most", "met", "note")
        print_json([{key: getattr(verdict, key) for key in keys} for verdict in verdicts])
    return 0 if all(verdict.met for verdict in verdicts) else 1


def _time(seconds: float) -> str:
    for unit, size in (("s", 1.0), ("ms", 1e-3), ("µs", 1e-6)):
        if seconds >= size:
            return f"{seconds / size:.3g} {unit}"
    return f"{seconds / 1e-9:.3g} ns"
