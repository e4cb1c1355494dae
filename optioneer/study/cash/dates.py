"""When things happen: milestones, what moves them, and the business days of payments."""

from dataclasses import dataclass
from datetime import date, timedelta

from optioneer.model.case import Case
from optioneer.model.machine import Dates
from optioneer.model.paying import AnyPlan, LoanPlan, PayDays, Paying
from optioneer.model.terms import Stage
from optioneer.model.when import Days, When, milestones
from optioneer.money.cents import to_cents
from optioneer.money.days import BusinessDays


@dataclass(frozen=True)
class Delay:
    """What may come otherwise than planned.

    Parameters
    ----------
    machine_weeks
        How much later the machine is shipped; below zero: earlier.
    acceptance_weeks
        How much later it is accepted, once it has been refused.
    rate_points
        Added to the rate of every loan, as a fraction a year.
    """

    machine_weeks: float = 0.0
    acceptance_weeks: float = 0.0
    rate_points: float = 0.0


ON_TIME = Delay()


@dataclass(frozen=True)
class Course:
    """The days of one course of events.

    Parameters
    ----------
    currency
        What is paid in, ISO 4217 code.
    asked
        The dealer's stages, where his quote tells them.
    """

    days: Days
    business: BusinessDays
    currency: str
    asked: tuple[Stage, ...] = ()

    def cents(self, amount: float) -> int:
        """An amount in whole cents of the currency."""
        return to_cents(amount, self.currency)

    def nominal(self, when: When) -> date:
        """The day as agreed, whether banks are open or not."""
        return when.on(self.days)

    def paid(self, day: date) -> date:
        """The day on which a payment due on `day` is made."""
        return self.business.moved(day)


def clock_of(case: Case, delay: Delay = ON_TIME) -> Course:
    """The days of `case`, as planned or with a delay.

    Notes
    -----
    A machine that is late moves shipping and all that follows; nothing comes before the order.
    A refused acceptance moves the acceptance and first chips.
    """
    return course_of(case.dates, case.paying or Paying(), case.machine.currency, delay=delay)


def course_of(dates: Dates, paying: Paying, currency: str, *, delay: Delay = ON_TIME) -> Course:
    """The same of what it hangs on alone; `currency` as for `Course`."""
    late = _weeks(delay.machine_weeks)
    refused = late + _weeks(delay.acceptance_weeks)
    days = milestones(dates)
    moved: Days = {
        "order": days["order"],
        "shipped": max(days["order"], days["shipped"] + late),
        "delivery": max(days["order"], days["delivery"] + late),
        "accepted": max(days["order"], days["accepted"] + refused),
        "first_chips": max(days["order"], days["first_chips"] + refused),
    }
    business = business_days(paying.calendar)
    return Course(moved, business, currency, paying.dealer.stages)


def _weeks(weeks: float) -> timedelta:
    return timedelta(days=round(7 * weeks))


def business_days(calendar: PayDays) -> BusinessDays:
    """The business days that a case names."""
    return BusinessDays(calendar.convention, calendar.country, calendar.subdivision)


def dearer(plan: AnyPlan, delay: Delay) -> AnyPlan:
    """`plan` at the rate that a delay brings, never below nothing; only loans have one."""
    if not isinstance(plan, LoanPlan):
        return plan
    return plan.model_copy(update={"rate": max(0.0, plan.rate + delay.rate_points)})
