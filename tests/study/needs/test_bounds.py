"""Figures exactly on a bound."""

import pytest

from optioneer.study.needs.limits import needs_transformer
from tests.study.needs.test_shop_by_hand import shop
from tests.study.ready.sites import case


@pytest.mark.parametrize(
    ("supply", "needed"),
    [(400.0, False), (440.0, False), (440.1, True), (360.0, False), (359.9, True), (480.0, True)],
)
def test_a_supply_within_the_tolerance_needs_no_transformer(supply: float, needed: bool) -> None:  # noqa: FBT001 - a column
    parts = shop(shop={"supply_v": supply}, needs={"voltage_v": 400.0, "voltage_tolerance": 0.1})
    site = case(parts).site
    assert site is not None
    assert needs_transformer(site) is needed
