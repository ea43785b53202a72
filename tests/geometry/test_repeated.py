"""Takes of one reading as one row: everything comes out as if each take had a row of its own."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest

from geometry.adjustment import Adjustment, adjust
from geometry.fit import Observation, Setup, fit
from geometry.readings import possible
from geometry.repeated import each_take, repeated

NAMES = ("a", "b", "a", "c", "b", "a", "a", "d")
READ = np.array([5.1, 13.2, 4.9, 12.1, 12.9, 5.3, 40.0, 2.5])
SD = np.array([0.1, 0.2, 0.3, 0.1, 0.2, 0.1, 50.0, 0.4])
AT = {"a": (0.0, 0.0), "b": (12.0, 4.0), "c": (9.0, -9.0), "d": (1.0, 6.0)}
ASSUMED, ASSUMED_SD = np.array([3.0]), np.array([2.0])


def adjusted(names: tuple[str, ...], read: np.ndarray, sd: np.ndarray) -> Adjustment:
    """A place found from its distances to known ones, and a guess of its x."""
    known = np.array([AT[name] for name in names])

    def model(place: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        far = np.hypot(*(place - known).T)
        partials = np.concatenate(((place - known) / far[:, None], [[1.0, 0.0]]))
        return np.append(far, place[0]), partials

    return adjust(model, np.array([2.0, 3.0]), np.append(read, ASSUMED), np.append(sd, ASSUMED_SD))


@pytest.mark.parametrize("count", [len(NAMES), 4])
def test_every_number_is_that_of_takes_with_a_row_each(count: int) -> None:
    names, read, sd = NAMES[:count], READ[:count], SD[:count]
    rows = repeated(names, read, sd)
    fewer = adjusted(tuple(names[first] for first in rows.first), rows.read, rows.sd)
    assert len(fewer.predicted) < count + 1
    found = each_take(fewer, rows, np.append(read, ASSUMED), np.append(sd, ASSUMED_SD))
    whole = adjusted(names, read, sd)
    for field in fields(Adjustment):
        if field.name != "steps":
            np.testing.assert_allclose(getattr(found, field.name), getattr(whole, field.name), rtol=1e-8, atol=1e-9)


def test_a_take_of_its_own_stays_as_it_is_to_the_last_digit() -> None:
    rows = repeated(("a", "b", "c"), READ[:3] / 3.0, SD[:3] / 3.0)
    assert (rows.read == READ[:3] / 3.0).all() and (rows.sd == SD[:3] / 3.0).all()
    done = adjusted(("a", "b", "c"), rows.read, rows.sd)
    same = each_take(done, rows, np.append(rows.read, ASSUMED), np.append(rows.sd, ASSUMED_SD))
    assert all(np.array_equal(getattr(same, field.name), getattr(done, field.name)) for field in fields(Adjustment))


def test_nothing_read_is_no_rows() -> None:
    assert repeated((), np.array([]), np.array([])).first == ()


def test_takes_of_a_reading_on_either_side_of_the_line_keep_their_own_sign_of_what_the_tape_shows_too_much() -> None:
    setup = Setup("three_link_panhard", "front")
    check = next(name for name in possible(setup.layout, setup.worked_axle) if name.startswith("tape_check:"))
    sides = [Observation("lateral:upper.frame", value, f"take {n}") for n, value in enumerate((5.0, -5.0, 5.0, -5.0))]
    found = fit(setup, [Observation(check, 3.0, check), *sides])
    offset = found.estimate[found.slot["tape.offset"]]
    assert offset == pytest.approx(3.0, abs=1.5)
    assert found.predicted[1] - found.predicted[2] == pytest.approx(2.0 * offset, abs=1e-9)
    assert found.predicted[3:].tolist() == found.predicted[1:3].tolist()
