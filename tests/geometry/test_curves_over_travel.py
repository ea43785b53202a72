"""The column of the sweep that belongs to a figure."""

import math

import pytest

from geometry.figures import Facts, standing
from geometry.figures import sheet as figures_sheet
from geometry.figures.base import Column, Figure, Sheet, SweepTable
from geometry.figures.over_travel import COLUMNS, over_travel
from geometry.figures.travel import columns
from tests.outside.shapes import T1, fitted


def figure(value, sd=1.0, key="anti_dive", **more):
    return Figure(key, "%", value, sd, **more)


def sheet(anti_dive, geometric=100.0):
    table = SweepTable((-10.0, 0.0, 10.0), {
        "anti_geometric": Column("%", "before any share", (110.0, 100.0, None), (5.0, 4.0, None)),
        "caster_change": Column("deg", "Caster change", (None, None, None), (None, None, None)),
    })
    return Sheet({"anti_dive": figure(anti_dive), "anti_geometric": figure(geometric, key="anti_geometric")}, table)


def test_anti_squat_over_travel_is_the_geometric_curve_times_the_share_of_driving():
    weighed = (("cg_height:estimate", 700.0, 1.0),)
    swept, (whole, crossed) = (of(fitted(T1, "four_link", more=weighed), Facts(drive_share_front=0.38))
                               for of in (figures_sheet, standing))
    column, geometric = whole.columns["anti_driving"], swept.sweep.columns["anti_geometric"]
    assert column.values == pytest.approx([0.62 * value for value in geometric.values])
    assert column.sd == pytest.approx([0.62 * sd for sd in geometric.sd])
    assert column.title == "" and column.values[10] == pytest.approx(swept.figures["anti_squat"].value)
    assert whole.columns["anti_braking"].needs == ("brake_share_front",)
    assert not any(key.startswith("anti") for key in crossed.columns)


def test_no_curve_where_there_is_no_value_or_no_column():
    assert over_travel(sheet(62.0), "caster") is None
    assert over_travel(sheet(62.0), "wheelbase") is None


def test_every_curve_names_a_column_that_a_front_three_link_has():
    assert set(COLUMNS.values()) <= {column.key for column in columns("three_link_panhard", "front")}
    assert math.isclose(over_travel(sheet(62.0), "anti_geometric").values[0], 110.0)
