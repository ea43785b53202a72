"""What pyproject.toml cannot say: two folders of the checkout travel inside the package `capture`."""

from setuptools import find_packages, setup

setup(
    packages=[
        *find_packages(include=["capture", "capture.*", "geometry", "geometry.*"]),
        "capture.static",
        "capture.static.vendor",
        "capture.demo_vehicles",
    ],
    package_dir={"capture.static": "static", "capture.demo_vehicles": "demo_vehicles"},
    package_data={
        "capture": ["upgrades/*.sql"],
        "capture.screens": ["templates/*"],
        "capture.sheet": ["sheet.css", "templates/*"],
        "capture.static": ["*"],
        "capture.static.vendor": ["*"],
        "capture.demo_vehicles": ["*.json"],
        "geometry": ["py.typed"],
    },
)
