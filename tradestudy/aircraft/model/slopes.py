"""One set of parts, evaluated at one design after another, with exact slopes of every output."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from tradestudy.physics.flight.records import STEP

from .choices import Choice
from .designs import one_design, stepped_designs
from .evaluation import evaluate
from .model_data import ModelData


class Model:
    """The chain of stages for one set of parts.

    The fields of a choice are inputs, except those in `Choice.model_key`, which are part of the data.

    With ``usual``, the duration of the usual flight is an output.
    """

    def __init__(self, data: ModelData, usual: bool = False):
        self.data, self.usual = data, usual
        self._outputs: dict[str, Any] = {}
        self._along: tuple[str, ...] = ()

    def run(self, choice: Choice, variables: dict[str, float], along: Sequence[str] = ()) -> None:
        """Evaluate one design, with its slopes ``along`` variables or numbers of the choice.

        If ``variables`` holds a number of the choice, that value is used.
        """
        self._along = tuple(along)
        designs = stepped_designs(choice, variables, along) if along else one_design(choice, variables)
        self._outputs = evaluate(self.data, designs, usual=self.usual).by_name()

    def value(self, name: str) -> Any:
        """Return an output of the last run, SI: a float, or an array of shape (output size,)."""
        value = self._outputs[name][0].real if self._along else self._outputs[name]
        return value if np.ndim(value) else float(value)

    def rows(self) -> list[dict[str, Any]]:
        """Return all outputs of the last run, one dict for each variable along which it stepped, complex."""
        if not self._along:
            return [dict(self._outputs)]
        return [{name: value[at] for name, value in self._outputs.items()} for at in range(len(self._along))]

    def slopes(self, outputs: Sequence[str]) -> dict[tuple[str, str], np.ndarray]:
        """Return the exact slopes of outputs along the variables of the last run. Each has shape (output size,)."""
        found = {}
        for output in outputs:
            rows = (self._outputs[output].imag / STEP).reshape(len(self._along), -1)
            for name, row in zip(self._along, rows, strict=True):
                found[output, name] = row
        return found
