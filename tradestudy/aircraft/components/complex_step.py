"""Exact derivatives of a pure physics function by one batched complex step."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import openmdao.api as om

from tradestudy.physics.flight.records import STEP, fields_by_name

from .model_variables import declared

Arrays = dict[str, Any]


class Stepped:
    """A physics function with its derivatives by complex step.

    Parameters
    ----------
    function : callable
        Accepts complex numbers and one leading batch axis on every argument.
        Returns a record of arrays whose first axis is the batch.
    depends : dict of output name -> input names
        Pairs whose derivatives are needed. No other input is stepped.
    """

    def __init__(self, function: Callable[..., Any], depends: dict[str, tuple[str, ...]]):
        self.function, self.depends = function, depends
        self._inputs: Arrays = {}
        self._slopes: dict[tuple[str, str], np.ndarray] = {}
        self._rows: dict[str, slice] = {}
        self._eye = np.zeros((0, 0), dtype=complex)

    def value(self, inputs) -> Arrays:
        """Return outputs by name for OpenMDAO inputs. Arrays of one element are passed on as scalars."""
        return fields_by_name(self.function(**{name: _unpacked(np.array(value)) for name, value in inputs.items()}))

    def slopes(self, inputs) -> dict[tuple[str, str], np.ndarray]:
        """Return d(output)/d(input) for every pair in ``depends``. Each has shape (output size, input size)."""
        inputs = {name: np.array(value) for name, value in inputs.items()}
        if not self._inputs or any(not np.array_equal(inputs[name], self._inputs[name]) for name in inputs):
            self._step(inputs)
        return self._slopes

    def _step(self, inputs):
        if not self._rows:
            self._rows, self._eye = self._directions(inputs)
        batch = {}
        for name, value in inputs.items():
            rows = self._rows.get(name)
            if value.shape == (1,):
                batch[name] = value + (0j * self._eye[0] if rows is None else self._eye[rows.start])
            else:
                stacked = np.zeros((len(self._eye), value.size), dtype=complex)
                if rows is not None:
                    stacked[rows] = self._eye[rows, rows]
                batch[name] = (stacked + value.ravel()).reshape(-1, *value.shape)
        outputs = fields_by_name(self.function(**batch))
        slopes = {}
        for output, names in self.depends.items():
            slope = (outputs[output].imag / STEP).reshape(len(self._eye), -1)
            for name in names:
                slopes[output, name] = slope[self._rows[name]].T
        self._inputs, self._slopes = inputs, slopes

    def _directions(self, inputs):
        """Return the batch rows that step along each input, and the matrix of steps."""
        rows, total = {}, 0
        for name in inputs:
            if any(name in names for names in self.depends.values()):
                rows[name] = slice(total, total + inputs[name].size)
                total += inputs[name].size
        return rows, 1j * STEP * np.eye(total)


class SteppedComponent(om.ExplicitComponent):
    """Base class of a component around one `Stepped` function. Its ``setup`` calls `declare`."""

    def declare(
        self,
        function: Callable[..., Any],
        depends: dict[str, tuple[str, ...]],
        shapes: dict[str, tuple[int, ...]] | None = None,
        more_inputs: tuple[str, ...] = (),
    ) -> None:
        """Declare outputs, their inputs, and partial derivatives.

        ``shapes`` holds the shape of every variable that is not a single number.
        """
        shapes = shapes or {}
        for name in dict.fromkeys([*more_inputs, *(name for names in depends.values() for name in names)]):
            self.add_input(**declared(name, shapes.get(name, (1,))))
        for output, names in depends.items():
            self.add_output(**declared(output, shapes.get(output, (1,))))
            self.declare_partials(output, names)
        self.stepped = Stepped(function, depends)

    def compute(self, inputs, outputs):
        values = self.stepped.value(inputs)
        for name in self.stepped.depends:
            outputs[name] = values[name]

    def compute_partials(self, inputs, partials):
        for pair, slope in self.stepped.slopes(inputs).items():
            partials[pair] = slope


def _unpacked(value):
    return value[0] if value.shape == (1,) else value
