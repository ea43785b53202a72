"""What kinds share that read unknowns straight: a weighted sum of scalars."""

from __future__ import annotations

import numpy as np

from geometry.frame import Array
from geometry.readings.kind import Kind, Mark, Setting


class Single(Kind):
    """The sum of its scalar unknowns, each times its constant; most read one."""

    def predicted(self, inputs: Array, constants: Array) -> Array:
        """inputs and constants: (n, k) each."""
        total: Array = np.einsum("ij,ij->i", inputs, constants)
        return total

    def partials(self, inputs: Array, constants: Array) -> Array:
        """The constants."""
        return constants

    def marks_of(self, subject: str, setting: Setting) -> tuple[Mark, ...]:
        """Nothing between points unless a kind says so."""
        return ()
