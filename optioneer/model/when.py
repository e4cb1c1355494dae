"""Days told by what happens: `order + 90 days`, `accepted`, or a plain date."""

import re
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Annotated, Any, Literal, get_args

from pydantic import AfterValidator, Field, model_serializer, model_validator

from optioneer.dates import Unit, plus
from optioneer.model.fact import Fact, Whole, refusal
from optioneer.model.machine import Dates

Milestone = Literal["order", "shipped", "delivery", "accepted", "first_chips"]
MILESTONES: tuple[Milestone, ...] = get_args(Milestone)

Days = Mapping[Milestone, date]
"""The day of each milestone."""

_ALLOWED = (
    f"Write a date, or one of {', '.join(MILESTONES)}, alone or with + or - days, weeks or months: "
    '"order + 90 days".'
)
_WORDS = re.compile(
    r"(?P<anchor>[a-z_]+|\d{4}-\d{2}-\d{2})"
    r"(?:\s*(?P<sign>[+-])\s*(?P<count>\d{1,4})\s*(?P<unit>day|week|month)s?)?"
)


class When(Fact):
    """A day of the purchase."""

    anchor: Milestone | date = Field(description="Milestone or date it is counted from.")
    count: Whole = Field(default=0, description="How many units later; below zero: earlier.")
    unit: Unit = Field(default="days", description="What `count` counts.")

    @model_validator(mode="before")
    @classmethod
    def _any_form(cls, found: Any) -> Any:
        return found if isinstance(found, When | Mapping) else cls._parts_of(found)

    @staticmethod
    def _parts_of(found: Any) -> dict[str, Any]:
        if isinstance(found, date) and not isinstance(found, datetime):
            return {"anchor": found}
        return _parts(found if isinstance(found, str) else "")

    @classmethod
    def from_words(cls, found: Any) -> "When":
        """The day that a text or a date tells; for checks of fields that take other words too."""
        return cls(**cls._parts_of(found)) if not isinstance(found, cls) else found

    @model_serializer
    def _text(self) -> str:
        return str(self)

    def __str__(self) -> str:
        if not self.count:
            return str(self.anchor)
        sign = "+" if self.count > 0 else "-"
        unit = self.unit if abs(self.count) > 1 else self.unit.removesuffix("s")
        return f"{self.anchor} {sign} {abs(self.count)} {unit}"

    @property
    def is_date(self) -> bool:
        """Whether it is told by a plain date."""
        return isinstance(self.anchor, date) and not self.count

    def on(self, days: Days) -> date:
        """The day itself, given the days of the milestones."""
        start = self.anchor if isinstance(self.anchor, date) else days[self.anchor]
        return plus(start, self.count, self.unit)


def _parts(text: str) -> dict[str, Any]:
    match = _WORDS.fullmatch(text.strip())
    if match is None:
        raise refusal("is no day of the purchase", _ALLOWED)
    count = int(match["count"] or 0)
    return {
        "anchor": _anchor(match["anchor"]),
        "count": -count if match["sign"] == "-" else count,
        "unit": f"{(match['unit'] if count else None) or 'day'}s",  # 0 months are 0 days
    }


def _anchor(text: str) -> str | date:
    if text in MILESTONES:
        return text
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise refusal("is no day of the purchase", _ALLOWED) from None


def milestones(dates: Dates) -> Days:
    """The day of each milestone of a purchase; parts of a day count as a whole one.

    Notes
    -----
    The machine is shipped when it is built, delivered when the shipping is over and accepted
    when it is commissioned. Where neither building nor shipping takes any time, so that only first
    chips are known, it is accepted then and delivered before the commissioning, never before the
    order.
    """
    if not dates.build_weeks and not dates.ship_weeks:
        return _counted_back(dates)
    shipped = 7 * dates.build_weeks
    delivery = shipped + 7 * dates.ship_weeks
    after = {"shipped": shipped, "delivery": delivery, "accepted": delivery + dates.commission_days}
    return {
        "order": dates.order,
        "shipped": dates.order + _whole_days(after["shipped"]),
        "delivery": dates.order + _whole_days(after["delivery"]),
        "accepted": dates.order + _whole_days(after["accepted"]),
        "first_chips": dates.first_chips_date,
    }


def _counted_back(dates: Dates) -> Days:
    chips = dates.first_chips_date
    delivery = max(dates.order, chips - _whole_days(dates.commission_days))
    return {
        "order": dates.order,
        "shipped": delivery,
        "delivery": delivery,
        "accepted": chips,
        "first_chips": chips,
    }


def _whole_days(days: float) -> timedelta:
    return timedelta(days=-int(-days // 1))


_YEARLY = re.compile(r"(\d{2}-\d{2})(?: (next year))?")
_YEARLY_ALLOWED = 'Write month and day, "04-15", or "01-15 next year".'


def _yearly(text: str) -> str:
    match = _YEARLY.fullmatch(text)
    try:
        date.fromisoformat(f"2001-{match[1] if match else ''}")
    except ValueError:
        raise refusal("is no day of a year", _YEARLY_ALLOWED) from None
    return text


YearDay = Annotated[str, AfterValidator(_yearly)]
"""A day of every year: `04-15`, or `01-15 next year`."""
