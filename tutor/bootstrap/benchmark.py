"""The figures of `quiescent benchmark`: ours and a yardstick, side by side in one run.

Times on a shared machine mean little; the ratio of two things measured in turns, round by round, holds. Each row says
what was measured, against what, the ratio, and the ratio aimed at.
"""

from __future__ import annotations

import gc
import http.client
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from threading import Thread
from typing import Any

import numpy as np

from tutor.bootstrap import benchmark_circuits as circuits
from tutor.bootstrap import benchmark_peers as peers
from tutor.bootstrap.benchmark_supplies import supplies
from tutor.bootstrap.club import Club, database_url, open_club
from tutor.bootstrap.places import banks_folder
from tutor.circuits.analysis import S
from tutor.circuits.formula import formula_of
from tutor.circuits.numeric import solve_numerically
from tutor.circuits.problem import Problem
from tutor.circuits.program import ProgramWriter, load_function, program_arrays, run_in_chunks
from tutor.circuits.supply.steady_state import steady_state
from tutor.questions.bank import read_library
from tutor.questions.compiling import compile_template
from tutor.questions.draw import draw
from tutor.questions.fragments import plot_of, schematic_of
from tutor.questions.lottery import draw_batch
from tutor.questions.marking import mark

DRAWS = 100_000
MANY = 1_000_000
SUPPLIES = 1000
ROUNDS = 5


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the benchmark.

    Attributes:
        name: What was measured.
        ours: Seconds for one.
        yardstick: What it was measured against.
        theirs: Seconds for one of those.
        aim: Least ratio theirs/ours aimed at.
        note: What to know.
    """

    name: str
    ours: float
    yardstick: str
    theirs: float
    aim: float
    note: str = ""

    @property
    def ratio(self) -> float:
        """How many times as long the yardstick takes."""
        return self.theirs / self.ours

    @property
    def met(self) -> bool:
        """Whether the ratio is what was aimed at."""
        return self.ratio >= self.aim


def side_by_side(*jobs: Callable[[], Any], rounds: int = ROUNDS, least: float = 0.02) -> list[float]:
    """Return the median seconds of each job, measured in turns.

    Args:
        jobs: What to measure.
        rounds: How many times each is measured.
        least: A job is repeated within a round until it has taken this many seconds.
    """
    repeats = [_repeats(job, least) for job in jobs]
    times: list[list[float]] = [[] for _ in jobs]
    gc.collect()
    gc.disable()
    try:
        for _ in range(rounds):
            for job, count, taken in zip(jobs, repeats, times, strict=True):
                began = time.perf_counter()
                for _ in range(count):
                    job()
                taken.append((time.perf_counter() - began) / count)
    finally:
        gc.enable()
    return [statistics.median(taken) for taken in times]


def processor_time(job: Callable[[], Any], rounds: int = 20) -> float:
    """Return the least seconds of the processor that a job takes: a limit is nothing to take turns with."""
    job()
    times = []
    for _ in range(rounds):
        began = time.process_time()
        job()
        times.append(time.process_time() - began)
    return min(times)


def _repeats(job: Callable[[], Any], least: float) -> int:
    began = time.perf_counter()
    job()
    taken = max(time.perf_counter() - began, 1e-7)
    return max(1, min(10_000, round(least / taken)))


def rows() -> Iterator[Row]:
    """Yield the benchmark's rows, one as soon as it is measured."""
    yield from _compiling()
    yield _simplified()
    yield from _beside_the_library()
    yield from _formulas()
    yield from _batches()
    yield _million()
    yield _operating_points()
    yield from _against_ngspice()
    yield _supplies()
    yield from _templates()
    yield from _drawings()
    yield from _pages()
    yield _cold_start()


# -- circuits --------------------------------------------------------------------------------------------------------
def _compiling() -> Iterator[Row]:
    for name in ("bridge", "two-stage amplifier"):
        problem = circuits.problem(name)
        matrix, side = circuits.sympy_equations(problem)
        ours, theirs = side_by_side(
            partial(circuits.compiled, problem), partial(circuits.solved_by_lu, matrix, side), rounds=3
        )
        yield Row(f"compile a circuit: {name}", ours, "sympy LUsolve, not simplified", theirs, 50)


def _simplified() -> Row:
    problem = circuits.problem("bridge")
    matrix, side = circuits.sympy_equations(problem)
    ours, theirs = side_by_side(
        partial(circuits.compiled, problem), partial(circuits.solved_and_simplified, matrix, side), rounds=1
    )
    note = "measured once; the amplifier is left out, since simplifying its solution does not end within minutes"
    return Row("compile a circuit: bridge", ours, "sympy LUsolve, every unknown simplified", theirs, 50, note)


def _beside_the_library() -> Iterator[Row]:
    theirs = peers.symbolic_library_job()
    if theirs is None:
        return
    job = partial(circuits.compiled, circuits.problem("bridge"))
    theirs()  # its first circuit loads much that later ones need not
    ours, other = side_by_side(job, theirs, rounds=3)
    yield Row("compile a circuit: bridge", ours, "lcapy, one voltage", other, 100)


def _formulas() -> Iterator[Row]:
    for name in ("bridge", "two-stage amplifier"):
        problem = circuits.problem(name)
        domain = circuits.sympy_domain_matrix(problem)
        ours, theirs = side_by_side(
            partial(formula_of, problem), partial(circuits.solved_by_domain_matrix, domain), rounds=3
        )
        note = "one unknown in lowest terms against all unknowns with common factors left"
        yield Row(f"symbolic formula: {name}", ours, "sympy DomainMatrix.charpoly", theirs, 1, note)


def _batches() -> Iterator[Row]:
    for name in ("bridge", "ladder of eight", "two-stage amplifier"):
        problem, inputs, job = _batch(name, DRAWS)
        jobs: list[Callable[[], Any]] = [job, partial(solve_numerically, problem, inputs)]
        hand = circuits.by_hand(name)
        if hand is not None:
            jobs.append(partial(hand, inputs))
        times = [seconds / DRAWS for seconds in side_by_side(*jobs, rounds=3)]
        yield Row(f"answers of {DRAWS} draws: {name}", times[0], "NumPy batched linalg.solve", times[1], 8)
        if hand is not None:
            yield Row(f"answers of {DRAWS} draws: {name}", times[0], "hand-written NumPy", times[2], 0.25)


def _batch(name: str, draws: int) -> tuple[Problem, dict[str, Any], Callable[[], Any]]:
    """Return a circuit's problem, values for many draws, and the job that answers them all."""
    problem = circuits.problem(name)
    inputs = circuits.values(problem, draws)
    writer = ProgramWriter(tuple(inputs))
    writer.define_solution("wanted", problem)
    writer.output_source("wanted", "x_wanted")
    function = load_function(writer.source("solve"), "solve", program_arrays())
    return problem, inputs, partial(run_in_chunks, function, [inputs[key] for key in writer.inputs], draws)


def _million() -> Row:
    name = "two-stage amplifier"
    _, inputs, job = _batch(name, MANY)
    hand = circuits.by_hand(name)
    assert hand is not None
    ours, theirs = side_by_side(job, lambda: hand(inputs), rounds=3)
    return Row(f"answers of {MANY} draws: {name}", ours / MANY, "hand-written NumPy", theirs / MANY, 0.5)


def _operating_points() -> Row:
    ours, theirs = side_by_side(*peers.triode_jobs(DRAWS), rounds=3)
    name = f"{DRAWS} operating points of a triode"
    return Row(name, ours, "its law once on as many voltages", theirs, 1 / 200)


def _against_ngspice() -> Iterator[Row]:
    if peers.NGSPICE is None:
        return
    _, inputs, job = _batch("two-stage amplifier", DRAWS)
    values = {name: float(column[0]) for name, column in inputs.items() if name != S}
    (ours,) = side_by_side(job, rounds=3)
    _, theirs = peers.ngspice_output(values, 1000.0, peers.SPICE_ANSWERS)
    note = f"{peers.SPICE_ANSWERS} analyses in one run, so that its start counts for little"
    yield Row("one answer: two-stage amplifier", ours / DRAWS, "ngspice, one analysis", theirs, 1000, note)


def _supplies() -> Row:
    many = supplies(SUPPLIES)
    one = many.part(0, 1)
    ours, alone = side_by_side(
        lambda: steady_state(many, keep_waveforms=False), lambda: steady_state(one, keep_waveforms=False), rounds=3
    )
    note = f"{SUPPLIES / ours:,.0f} supplies a second in one batch"
    return Row(f"steady state of {SUPPLIES} supplies", ours / SUPPLIES, "one supply at a time", alone, 50, note)


# -- templates -------------------------------------------------------------------------------------------------------
def _templates() -> Iterator[Row]:
    library = read_library([banks_folder()])
    template = library.templates.get("loaded-divider") or next(iter(library.templates.values()))
    compiled = compile_template(template)
    serials = np.arange(DRAWS, dtype=np.uint64)
    ours, one = side_by_side(lambda: draw_batch(compiled, serials), lambda: draw(compiled, 7), rounds=3)
    note = f"{DRAWS / ours:,.0f} questions a second in one batch"
    yield Row(
        f"draw and solve: {template.name}", ours / DRAWS, "one question at a time, texts included", one, 100, note
    )
    ours, theirs = side_by_side(lambda: compile_template(template), lambda: circuits.solved_by_sympy(template.network))
    yield Row(f"compile a template: {template.name}", ours, "sympy solve of its circuit alone", theirs, 1)
    question = draw(compiled, 7)
    answers = {ask.name: f"{ask.key:.3g} {ask.unit}" for ask in question.asks if isinstance(ask.value, float)}
    ours, algebra, bare = side_by_side(
        lambda: mark(question, answers),
        lambda: circuits.mark_by_sympy(question, answers),
        lambda: circuits.read_by_pattern(answers),
    )
    note = f"{1 / ours:,.0f} marks a second"
    yield Row("one mark", ours, "sympy simplify of answer − key, nothing else", algebra, 1, note)
    yield Row("one mark", ours, "one regular expression on the same text", bare, 0.01, "the floor: reading alone")


# -- drawings --------------------------------------------------------------------------------------------------------
def _drawings() -> Iterator[Row]:
    """Yield the cost of a circuit whose layout is kept and of a plot, against the limit that each may take."""
    templates = read_library([banks_folder()]).templates.values()
    with_circuit = [template for template in templates if template.network is not None]
    largest = max(with_circuit, key=lambda template: (len(template.network.parts), template.name))  # type: ignore[union-attr]  # chosen so
    question = draw(compile_template(largest), 7)
    ours = processor_time(lambda: schematic_of(question, "c"))
    note = f"{len(question.parts)} parts, the largest circuit of the banks; its layout is kept"
    yield Row(f"draw a schematic: {largest.name}", ours, "the limit: 5 ms of the processor", 0.005, 1, note)
    plotted = next((template for template in templates if template.name == "loadline-fixed"), None)
    if plotted is not None:
        question = draw(compile_template(plotted), 7)
        ours = processor_time(lambda: plot_of(question, "p"))
        yield Row(
            f"draw a plot: {plotted.name}", ours, "the limit: 20 ms of the processor", 0.02, 1, "kept once it is drawn"
        )


# -- pages -----------------------------------------------------------------------------------------------------------
def _pages() -> Iterator[Row]:
    with tempfile.TemporaryDirectory(prefix="quiescent-benchmark-") as folder:
        club = open_club(database_url(Path(folder)))
        club.membership.add("bench", "Bench", "copper anode lantern")
        with _served(club) as (port, cookie, address):
            hello, question = side_by_side(
                lambda: _fetch(port, "/hello", ""), lambda: _fetch(port, address, cookie), rounds=5, least=0.5
            )
        note = f"{1 / question:,.0f} pages a second over one connection at a time"
        yield Row("one question page, signed in", question, "a bare page on the same server", hello, 0.2, note)


class _served:  # noqa: N801 - used as a function in a with statement
    """A real server with a bare page beside the site, and somebody signed in looking at a question."""

    def __init__(self, club: Club) -> None:
        self._club = club

    def __enter__(self) -> tuple[int, str, str]:
        from waitress.server import create_server

        from tutor.bootstrap.places import static_folder
        from tutor.web.app import create_site
        from tutor.web.settings import SiteSettings

        site = create_site(self._club, SiteSettings(secret="benchmark" * 5, static=static_folder()))
        site.add_url_rule("/hello", view_func=lambda: "hello")
        site.config["WTF_CSRF_ENABLED"] = False
        client = site.test_client()
        client.post("/sign-in", data={"sign_in": "bench", "password": "copper anode lantern"})
        lesson = next(lesson for lesson in self._club.shelf.lessons if self._club.shelf.templates(lesson))
        address = client.post(f"/lessons/{lesson.name}/practice").headers["Location"]
        cookie = client.get_cookie("quiescent")
        assert cookie is not None
        self._server: Any = create_server(site, host="127.0.0.1", port=0, threads=4)
        self._thread = Thread(target=self._server.run, daemon=True)
        self._thread.start()
        return int(self._server.effective_port), f"quiescent={cookie.value}", address

    def __exit__(self, *_: object) -> None:
        self._server.task_dispatcher.shutdown(cancel_pending=True, timeout=5)
        self._server.close()
        self._thread.join(timeout=5)


def _fetch(port: int, address: str, cookie: str) -> None:
    connection = http.client.HTTPConnection("127.0.0.1", port)
    connection.request("GET", address, headers={"Cookie": cookie} if cookie else {})
    answer = connection.getresponse()
    answer.read()
    connection.close()
    if answer.status != 200:
        raise RuntimeError(f"{address} answered {answer.status}")


# -- cold start ------------------------------------------------------------------------------------------------------
_FIRST_QUESTION = """
import sys
from tutor.cli.questions import compiled_template
from tutor.questions.draw import draw
from tutor.questions.fragments import html_block
question = draw(compiled_template("{name}"), 7)
html_block(question.text)
assert "sympy" not in sys.modules, "sympy was loaded to serve a question"
"""


def _cold_start() -> Row:
    names = read_library([banks_folder()]).templates
    name = "loaded-divider" if "loaded-divider" in names else next(iter(names))
    code = _FIRST_QUESTION.format(name=name)
    ours, theirs = side_by_side(lambda: _python(code), lambda: _python("import sympy"), rounds=5, least=0)
    note = "reads every bank, then draws; no sympy in the process"
    return Row("process start to first question", ours, "process start and `import sympy`", theirs, 0.5, note)


def _python(code: str) -> None:
    subprocess.run([sys.executable, "-c", code], check=True)  # noqa: S603 - our own code
