"""What a period amounts to: means, ripple, peaks, rms, angles, spectra and powers, from what passed at its stages."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tutor.circuits.supply.description import Topology
from tutor.circuits.supply.ladder import Array, Network
from tutor.circuits.supply.period import Drive, Track
from tutor.circuits.supply.rectifiers import Law

HARMONICS = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Waveforms:
    """One mains cycle, from the emf's zero upwards; the last axis is the draws.

    The samples lie at the stages of the steps, about evenly but not quite.

    Attributes:
        time: Shape (samples, draws) [s].
        emf: Of the winding, or of the first half of it [V], shape (samples, draws).
        winding_current: In the winding, or in its first half [A], shape (samples, draws).
        rectifier_current: Out of the rectifier, which charges the reservoir [A], shape (samples, draws).
        voltages: Of every node [V], shape (nodes, samples, draws).
        section_currents: Through every smoothing resistor or choke [A], shape (sections, samples, draws).
    """

    time: Array
    emf: Array
    winding_current: Array
    rectifier_current: Array
    voltages: Array
    section_currents: Array

    @property
    def reservoir_voltage(self) -> Array:
        """Voltage of node 0 [V], shape (samples, draws)."""
        return np.asarray(self.voltages[0])

    @property
    def output_voltage(self) -> Array:
        """Voltage of the last node [V], shape (samples, draws)."""
        return np.asarray(self.voltages[-1])


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """The figures of a steady state; the last axis is the draws.

    Attributes:
        mean: Voltage of each node [V], shape (nodes, draws).
        ripple_peak_to_peak: Of each node [V], shape (nodes, draws).
        ripple_rms: Of each node, without the mean [V], shape (nodes, draws).
        ripple_frequency: Mains frequency for half-wave, twice that for full-wave [Hz], shape (draws,).
        ripple_harmonics: Amplitude of each multiple of the ripple frequency at each node [V peak], shape (nodes,
            HARMONICS, draws).
        direct_current: Mean current out of the rectifier [A], shape (draws,).
        mean_diode_current: Of each diode [A], shape (draws,).
        peak_diode_current: Of each diode [A], shape (draws,).
        rms_diode_current: Of each diode [A], shape (draws,).
        rms_winding_current: Of the winding, or of each half of it for bi-phase [A], shape (draws,).
        peak_inverse_voltage: Across each diode [V], shape (draws,). While no diode of a bridge conducts, its idle
            winding is taken to lie midway, as equal leakages make it.
        conduction_angle: Of each diode, in degrees of the mains cycle, shape (draws,).
        charging_harmonics: Amplitude of each multiple of the ripple frequency in the current out of the rectifier [A
            peak], shape (HARMONICS, draws).
        power_taken: Mean power out of the emf, all of the winding [W], shape (draws,).
        winding_loss: Heat in the winding's resistance [W], shape (draws,).
        rectifier_loss: Heat in all the diodes together [W], shape (draws,).
        section_loss: Heat in each smoothing resistor or choke [W], shape (sections, draws).
        power_delivered: Out of each node into its loads and bleeder [W], shape (nodes, draws).
    """

    mean: Array
    ripple_peak_to_peak: Array
    ripple_rms: Array
    ripple_frequency: Array
    ripple_harmonics: Array
    direct_current: Array
    mean_diode_current: Array
    peak_diode_current: Array
    rms_diode_current: Array
    rms_winding_current: Array
    peak_inverse_voltage: Array
    conduction_angle: Array
    charging_harmonics: Array
    power_taken: Array
    winding_loss: Array
    rectifier_loss: Array
    section_loss: Array
    power_delivered: Array


class Reading:
    """A period that is read: the currents of both legs beside what the track holds."""

    def __init__(self, network: Network, law: Law, drive: Drive, track: Track) -> None:
        self._network, self._law, self._drive, self._track = network, law, drive, track
        sines = np.sin(track.phases)[:, None]
        self._emf = sines * drive.peak
        self._total = track.current
        self._other = law.other_leg(self._emf, self._total)
        self._own = self._total - self._other
        self._voltage = np.ascontiguousarray(track.states[:, 0::2].transpose(1, 0, 2))
        # The mean is taken before the next line: over a period it is what the choke's flux makes it, exactly.
        self._mean = self._voltage.mean(axis=1)
        self._let_the_input_float()
        self._current = np.ascontiguousarray(track.states[:, 1::2].transpose(1, 0, 2))
        self._is_full_wave = law.topology is not Topology.HALF_WAVE
        self._is_bridge = law.topology is Topology.BRIDGE

    def _let_the_input_float(self) -> None:
        """Put the far side's voltage before an input choke without current.

        There it stands; what the equation of a step holds there is whatever brings the current to a stop in that step.
        """
        network = self._network
        if network.sections:
            is_choke_input = (network.capacitance[0] == 0) & (network.inductance[0] > 0)
            floats = is_choke_input & (self._total <= 0)
            self._voltage[0] = np.where(floats, self._voltage[1], self._voltage[0])

    def figures(self) -> Figures:
        """Return the figures."""
        mean = self._mean
        ripple = self._voltage - self._voltage.mean(axis=1, keepdims=True)
        diodes = 2 if self._is_full_wave else 1  # that share the direct current in turn
        winding_square, winding_loss = self._winding()
        network, series = self._network, 2 if self._is_bridge else 1
        drops = self._own * self._law.drop(self._own) + self._other * self._law.drop(self._other)
        squares = (self._own**2 + self._other**2).mean(axis=0)
        square_voltages = (self._voltage**2).mean(axis=1)
        return Figures(
            mean=mean,
            ripple_peak_to_peak=self._peak_to_peak(),
            ripple_rms=np.sqrt((ripple**2).mean(axis=1)),
            ripple_frequency=1 / self._drive.period,
            ripple_harmonics=self._harmonics(ripple),
            direct_current=self._total.mean(axis=0),
            mean_diode_current=self._total.mean(axis=0) / diodes,
            peak_diode_current=self._own.max(axis=0),
            rms_diode_current=np.sqrt(squares / diodes),
            rms_winding_current=np.sqrt(winding_square),
            peak_inverse_voltage=self._inverse(),
            conduction_angle=self._angle(),
            charging_harmonics=self._harmonics(self._total),
            power_taken=(self._emf * (self._own - self._other)).mean(axis=0),
            winding_loss=winding_loss,
            rectifier_loss=series * drops.mean(axis=0),
            section_loss=network.resistance * (self._current**2).mean(axis=1),
            power_delivered=network.conductance * square_voltages + network.current * mean,
        )

    def waveforms(self) -> Waveforms:
        """Return one mains cycle, which for a full-wave supply is the period twice."""
        signed, own = self._emf, self._own
        if not self._is_full_wave:
            phases, winding, repeated = self._track.phases, own, 1
        else:
            phases, repeated = np.concatenate([self._track.phases, self._track.phases + np.pi]), 2
            signed = np.concatenate([signed, -signed])
            both = own - self._other
            winding = np.concatenate([both, -both] if self._is_bridge else [own, self._other])
        cycle = self._drive.period * repeated
        return Waveforms(
            time=phases[:, None] / (2 * np.pi) * cycle,
            emf=signed,
            winding_current=winding,
            rectifier_current=np.concatenate([self._total] * repeated),
            voltages=np.concatenate([self._voltage] * repeated, axis=1),
            section_currents=np.concatenate([self._current] * repeated, axis=1),
        )

    def _winding(self) -> tuple[Array, Array]:
        """Return the mean square current of the winding, or of each half, and the heat in all of it."""
        if self._is_bridge:
            square = ((self._own - self._other) ** 2).mean(axis=0)
            return square, self._law.winding * square
        square = (self._own**2 + self._other**2).mean(axis=0)
        return square / (2 if self._is_full_wave else 1), self._law.winding * square

    def _peak_to_peak(self) -> Array:
        highest, lowest = self._voltage.max(axis=1), self._voltage.min(axis=1)
        # Without a reservoir the voltage of node 0 has a corner where the emf passes zero, between the samples. Those
        # on either side lead to it, as long as current flows in all of them.
        phases, bare = self._track.phases, self._voltage[0]
        reach = phases[0] / (phases[1] - phases[0])
        corner = np.minimum(bare[0] - reach * (bare[1] - bare[0]), bare[-1] + reach * (bare[-1] - bare[-2]))
        flows = (self._total[[0, 1, -2, -1]] > 0).all(axis=0)
        has_corner = self._is_full_wave & flows & (self._network.capacitance[0] == 0)
        lowest[0] = np.where(has_corner, np.minimum(lowest[0], corner), lowest[0])
        return np.asarray(highest - lowest)

    def _inverse(self) -> Array:
        voltage = self._voltage[0]
        if not self._is_full_wave:
            return np.asarray((voltage - self._emf).max(axis=0))
        if self._is_bridge:
            conducting = voltage + self._law.drop(self._total)
            return np.asarray(np.where(self._total > 0, conducting, (voltage + self._emf) / 2).max(axis=0))
        return np.asarray(np.where(self._other > 0, 0.0, voltage + self._emf).max(axis=0))

    def _angle(self) -> Array:
        """Return the conduction angle; its ends lie where the headroom before and after, drawn on, comes to nothing."""
        phases, turn = self._track.phases, self._drive.turn
        headroom = np.minimum(self._law.headroom(self._emf, self._voltage[0]), 0.0)
        flows, widths = self._total > 0, np.diff(phases, append=phases[0] + turn)[:, None]
        rises = (headroom - np.roll(headroom, 1, axis=0)) / np.roll(widths, 1)  # into each sample
        falls = np.roll(rises, -1, axis=0)  # out of each sample
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            idle_before_start = np.nan_to_num(-headroom / rises, nan=0.0)
            idle_after_end = np.roll(np.nan_to_num(headroom / falls, nan=0.0), -1, axis=0)
        follows = np.roll(flows, -1, axis=0)
        idle = np.where(flows, np.where(follows, 0.0, idle_after_end), np.where(follows, idle_before_start, widths))
        other = (self._other > 0).mean(axis=0) * turn
        return np.asarray(np.degrees((widths - np.clip(idle, 0.0, widths)).sum(axis=0) + other))

    def _harmonics(self, wave: Array) -> Array:
        """Return the amplitudes of the multiples of the ripple frequency; samples on the axis before the last."""
        numbers = np.arange(1, HARMONICS + 1)[:, None]
        turns = np.exp(-1j * numbers * self._track.phases * (2 * np.pi / self._drive.turn)) * (
            2 / len(self._track.phases)
        )
        return np.asarray(np.abs(turns @ wave))
