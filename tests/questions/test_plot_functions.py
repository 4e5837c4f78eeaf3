"""Curves of valves and reservoirs, and readings off them, against what stands behind them."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tutor.circuits.valves.catalogue import valve_type
from tutor.circuits.valves.load_line import LoadLine, along, bias_line
from tutor.questions.plot_functions import (
    bias_current,
    crossing_array,
    crossing_scalar,
    extreme_array,
    extreme_scalar,
    reservoir_array,
    reservoir_scalar,
    valve_current,
)

PAPER = (0.0, 400.0, False, "left")


def test_a_load_line_is_crossed_where_the_valve_settles() -> None:
    valve, line = valve_type("ECC83").valve(), LoadLine(280.0, 82e3)
    for grid in (-0.5, -1.5, -3.0):
        place = crossing_scalar(PAPER, lambda v, grid=grid: valve_current("ECC83", v, grid) - (280.0 - v) / 82e3)
        voltage, _ = along(valve, line, [grid])
        assert place == pytest.approx(float(voltage[0]), rel=1e-9)


def test_the_bias_line_holds_the_grid_where_the_resistor_drops_it() -> None:
    valve = valve_type("ECC82").valve()
    grids = [-1.0, -4.0, -8.0]
    voltages, currents = bias_line(valve, 1200.0, grids)
    found = [bias_current("ECC82", float(v), 1200.0) for v in voltages]
    assert found == pytest.approx([float(i) for i in currents], rel=1e-9)


def test_the_ripple_is_below_that_of_charge_per_cycle() -> None:
    # I/(2fC) takes the charge of the whole half cycle; the rectifier conducts for a part of it. It is the limit of a
    # small ripple: charge balance, common practice; Langford-Smith, Radiotron Designer's Handbook, 4th ed., ch. 30
    # (from memory).
    for current, least in ((0.1, 0.7), (0.001, 0.95)):
        fall = current / 47e-6
        low = extreme_scalar((0.0, 0.012, False, "left"), -1.0, lambda t, fall=fall: reservoir_scalar(t, 340, fall, 50))
        rule = fall / 100
        assert least * rule < 340 - low < rule


def test_the_reservoir_falls_straight_while_nothing_is_charged() -> None:
    volts = [reservoir_scalar(t * 1e-3, 340.0, 2000.0, 50.0) for t in (2, 3, 4, 5)]
    assert np.diff(volts) == pytest.approx([-2.0] * 3)
    assert reservoir_scalar(0.0, 340.0, 2000.0, 50.0) == 340.0
    assert reservoir_scalar(0.01, 340.0, 2000.0, 50.0) == pytest.approx(340.0)


def test_many_draws_read_what_one_does() -> None:
    falls = np.array([800.0, 2000.0, 4000.0])
    times = np.linspace(0, 0.02, 101)
    many = reservoir_array(times[:, None], 340.0, falls, 50.0)
    one = [[reservoir_scalar(float(t), 340.0, float(fall), 50.0) for fall in falls] for t in times]
    assert many == pytest.approx(np.array(one))
    paper = (0.0, 0.012, False, "left")
    least = extreme_array(paper, -1.0, lambda t: reservoir_array(t, 340.0, falls, 50.0))
    alone = [extreme_scalar(paper, -1.0, lambda t, f=f: reservoir_scalar(t, 340.0, float(f), 50.0)) for f in falls]
    assert least == pytest.approx(alone, rel=1e-12)
    levels = np.array([-0.5, 0.0, 0.5, 2.0])
    places = crossing_array((0.0, math.pi, False, "left"), lambda x: np.cos(x) - levels)
    assert places[:3] == pytest.approx([2 * math.pi / 3, math.pi / 2, math.pi / 3])
    assert math.isnan(places[3])


def test_the_side_says_which_crossing_counts() -> None:
    humps = {
        side: crossing_scalar((10.0, 1e5, True, side), lambda f: 1 / math.hypot(1, f / 1e4 - 100 / f) - math.sqrt(0.5))
        for side in ("left", "right")
    }
    # The corners of x/b − a/x = ±1: roots of a quadratic.
    assert humps["left"] == pytest.approx((-1e4 + math.sqrt(1e8 + 4e6)) / 2)
    assert humps["right"] == pytest.approx((1e4 + math.sqrt(1e8 + 4e6)) / 2)
    assert math.isnan(crossing_scalar(PAPER, lambda _: 1.0))
