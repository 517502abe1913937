"""Slow records, one a frame: partials, clearance, and the energy ledger."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from wirebloom.kernels.layout import Floats, Ints, Model, Record, State
from wirebloom.kernels.ledger import Stored, stored, turned
from wirebloom.kernels.pack import Packed
from wirebloom.run.summed import sum_parts, touching


class Accounts:
    """Collects a row of every slow record at the end of each frame, by poles of the rig: lead (J,) is the first part of each."""

    def __init__(self, model: Model, packed: Packed, state: State, rest: Floats, lead: Ints | None = None) -> None:
        self.model, self.packed, self.rest = model, packed, rest
        self.lead = np.arange(model.poles.gap.size) if lead is None else lead
        self._touching = touching(model, self.lead)
        self.rows: list[dict[str, Any]] = []
        self._start = stored(model, packed, state)
        self._drive_work = np.zeros(model.poles.gap.size)
        self._square = np.zeros(state.supplied.size)
        self._last: tuple[Floats, Floats] | None = None

    def open(self, state: State) -> None:
        """The row of t = 0."""
        self._add(state, state.last_gap[self.lead], np.zeros(self.lead.size))

    def take(self, state: State, record: Record) -> None:
        """Add a frame: the state at its end and the record of its steps."""
        self._follow(record)
        self._square = (record.output**2).mean(axis=0)
        towards = record.displacement[:, self.lead, 0]
        contact = np.zeros(self.lead.size)
        contact[self._touching] = record.contact.max(axis=0)
        self._add(state, (self.model.poles.gap[self.lead] - towards).min(axis=0), contact)

    def columns(self) -> dict[str, NDArray[Any]]:
        """All rows so far, name → (f, …)."""
        return {name: np.array([row[name] for row in self.rows]) for name in self.rows[0]}

    def _follow(self, record: Record) -> None:
        """Work of the magnetic force on the string at every pole: ∫ F du along the path (trapezoid over steps)."""
        moved, force = record.displacement, record.force
        if self._last is not None:
            moved = np.concatenate([self._last[0][None], moved])
            force = np.concatenate([self._last[1][None], force])
        self._drive_work = self._drive_work + 0.5 * np.einsum("tjp,tjp->j", force[1:] + force[:-1], moved[1:] - moved[:-1])
        self._last = moved[-1].copy(), force[-1].copy()

    def _add(self, state: State, gap: Floats, contact: Floats) -> None:
        now = stored(self.model, self.packed, state)
        row = {
            "time": float(state.clock[0] * self.model.step),
            **self._partials(state),
            "least_gap": gap,
            "most_contact": contact,
            "output_square": self._square,
            **self._drawn(state),
            "drive_work": sum_parts(self._drive_work, self.lead).copy(),
            **self._energies(state, now),
        }
        self.rows.append(row)

    def _partials(self, state: State) -> dict[str, NDArray[Any]]:
        """A and φ of every mode (S, 2, N), m and rad: q − q_rest = A cos φ, v/ω = −A sin φ."""
        q, v = turned(state.q, state.v, self.model.back)
        frequency = self.model.strings.frequency
        pace, moved = np.divide(v, frequency, out=np.zeros_like(v), where=frequency > 0.0), q - self.rest
        phase = np.mod(np.arctan2(-pace, moved), 2.0 * np.pi).astype(np.float32)  # 1e-7 of a turn: finer than any picture
        return {"amplitude": np.hypot(moved, pace), "phase": phase}

    def _drawn(self, state: State) -> dict[str, Floats]:
        """Charges out of the high rail and into the low one, by loops, C."""
        drawn = np.zeros((state.supplied.size, 2))
        np.add.at(drawn, self.model.stages.loop, state.drawn)
        return {"drawn_high": drawn[:, 0], "drawn_low": drawn[:, 1]}

    def _energies(self, state: State, now: Stored) -> dict[str, Any]:
        start = self._start
        string_loss = start.modal - now.modal + state.work
        gained = now.total() - start.total()
        put_in = state.supplied.sum() + state.noise_work.sum() + state.driver_work.sum()
        lost = [string_loss, state.drive_heat, state.sense_heat, state.contact_loss, state.damper_loss]
        return {
            "string_energy": now.modal,
            "tension_energy": now.tension,
            "magnetic_energy": now.magnetic - start.magnetic,
            "capacitor_energy": now.electric,
            "contact_energy": now.contact,
            "supplied": state.supplied.copy(),
            "external": float(state.driver_work.sum()),
            "noise": state.noise_work.copy(),
            "string_loss": string_loss,
            "drive_heat": state.drive_heat.copy(),
            "sense_heat": state.sense_heat.copy(),
            "contact_loss": float(state.contact_loss.sum()),
            "damper_loss": float(state.damper_loss.sum()),
            "residual": gained - float(put_in) + float(sum(part.sum() for part in lost)),
        }
