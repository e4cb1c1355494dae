"""Ways of paying for the hand-made case of the tests. All invented."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from optioneer.model.case import Case
from optioneer.model.machine import Dates, Package
from optioneer.model.paying import Paying
from tests import shop

BARE = Package(id="base")
DATES = Dates(order=date(2027, 2, 1), build_weeks=20, ship_weeks=3, commission_days=6)
STAGED: Mapping[str, Any] = {
    "id": "staged",
    "kind": "staged",
    "stages": (
        {"share": 0.10, "when": "order"},
        {"share": 0.40, "when": "order + 90 days"},
        {"share": 0.40, "when": "shipped"},
        {"share": 0.10, "when": "accepted + 30 days"},
    ),
}
BANK: Mapping[str, Any] = {
    "id": "bank",
    "kind": "loan",
    "deposit": 0.10,
    "rate": 0.0725,
    "months": 60,
    "first_payment": "first_chips + 1 month",
    "fee": 950.0,
}
MINE: Mapping[str, Any] = {"id": "own", "kind": "staged"}
"""Pays the dealer as he asks, from the account."""

LEASE: Mapping[str, Any] = {
    "id": "lease",
    "kind": "lease",
    "deposit": 0.05,
    "monthly": 7150.0,
    "months": 48,
    "in_advance": 2,
    "buyout": 15000.0,
}
ACCOUNT: Mapping[str, Any] = {
    "opening": 180000.0,
    "keep_above": 40000.0,
    "regular": ({"name": "rest of the business", "monthly": 9000.0, "day": 28},),
}


def paying(*plans: Mapping[str, Any], **facts: Any) -> Paying:
    return Paying.model_validate({"plan": plans or (STAGED, BANK, LEASE), **facts})


def case(*plans: Mapping[str, Any], dates: Dates = DATES, **facts: Any) -> Case:
    return shop.case(dates=dates, paying=paying(*plans, **facts))
