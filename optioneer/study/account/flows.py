"""What the machine moves through the account in each future: work, upkeep, retrofits, sale, tax."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Floats
from optioneer.dates import MONTHS_PER_YEAR, plus_months
from optioneer.model.machine import Package
from optioneer.model.paying import AnyPlan, IncomeTax, LoanPlan, Paying
from optioneer.model.tax_years import tax_years
from optioneer.money.cents import places
from optioneer.study.account.work import base_worth, option_worth, yearly_work
from optioneer.study.advice.retrofits import retrofit_payments
from optioneer.study.cash.dates import Course, clock_of
from optioneer.study.cash.financing import NOTIONAL, income_tax_rate
from optioneer.study.cash.taxes import tax_days, under_known_law, written_off
from optioneer.study.worth.packages import states_of, with_package
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.timing.journey import Journey

FlowKind = Literal["work", "upkeep", "retrofit", "sale", "tax", "line"]
ManyCents = NDArray[np.int64]

NOISE = 1e-6
"""What is so near to half a cent is half a cent."""


@dataclass(frozen=True)
class MachineFlow:
    """What the machine moves on one day, expected and never contracted.

    Parameters
    ----------
    cents
        In each of n futures, money out below zero, shape (n,).
    """

    day: date
    kind: FlowKind
    cents: ManyCents


@dataclass(frozen=True)
class _Scene:
    """A package in its futures."""

    found: Valued
    package: Package
    journeys: tuple[Journey, ...]
    clock: Course
    until: date

    @property
    def first_chips(self) -> date:
        """The day the machine starts to earn."""
        return self.clock.days["first_chips"]

    def start_of(self, period: int) -> date:
        """First day of a period."""
        per_year = self.found.case.growth.periods_per_year
        return plus_months(self.first_chips, round(MONTHS_PER_YEAR * period / per_year))

    def cents(self, amounts: Floats) -> ManyCents:
        """Amounts in whole cents, half a cent away from zero."""
        return whole_cents(amounts * 10.0 ** places(self.found.case.machine.currency))

    def flow(self, day: date, kind: FlowKind, amounts: Floats) -> MachineFlow:
        """Amounts that move on a day, or the business day that stands in for it."""
        return MachineFlow(self.clock.paid(day), kind, self.cents(amounts))


def machine_flows(
    found: Valued, package: Package, until: date, plan: AnyPlan | None = None
) -> tuple[MachineFlow, ...]:
    """Everything that the machine moves until a day, in the futures of the case.

    Parameters
    ----------
    until
        Last day that counts.
    plan
        The way of paying, which says whether retrofits are lent; none: they are paid at once.

    Notes
    -----
    Work and upkeep of a month come at its end, a twelfth of the year's in the period that the
    middle of the month is in; after first chips work ramps up as the account tells. What is earned
    by hand without the machine (the fallbacks) is in it, as in the outcome. Retrofits follow the
    learned policy, standstill included. Tax is on what the machine earns less what retrofits
    write off; what the order writes off is in the contracted entries.
    """
    found = with_package(found, package)
    journeys = found.journeys(states_of(found, package))
    scene = _Scene(found, package, journeys, clock_of(found.case), until)
    plain = [*_work(scene), *_retrofits(scene, plan), *_sales(scene)]
    flows = [*plain, *_taxes(scene, plain)]
    return tuple(sorted((one for one in flows if one.day <= until), key=lambda one: one.day))


def _paying(scene: _Scene) -> Paying:
    return scene.found.case.paying or Paying()


def _work(scene: _Scene) -> Iterator[MachineFlow]:
    earned, upkeep = yearly_work(scene.found, scene.journeys)
    ramp, per_year = _paying(scene).account.ramp, scene.found.case.growth.periods_per_year
    for month in range(len(earned) * MONTHS_PER_YEAR // per_year):
        day = plus_months(scene.first_chips, month + 1)
        if day > scene.until:
            return
        period = int((month + 0.5) * per_year / MONTHS_PER_YEAR)
        share = ramp[month] if month < len(ramp) else 1.0
        yield scene.flow(day, "work", share * earned[period] / MONTHS_PER_YEAR)
        yield scene.flow(day, "upkeep", -upkeep[period] / MONTHS_PER_YEAR)


def _retrofits(scene: _Scene, plan: AnyPlan | None) -> Iterator[MachineFlow]:
    for period, paid in _by_period(scene):
        if isinstance(plan, LoanPlan) and plan.retrofits == "loan":
            yield from _lent(scene, plan, period, paid)
        else:
            yield scene.flow(scene.start_of(period), "retrofit", -paid)


def _by_period(scene: _Scene) -> Iterator[tuple[int, Floats]]:
    """What all retrofits of a period cost, shape (n,), where any future has one."""
    payments = retrofit_payments(scene.found, scene.package)
    for period in range(scene.found.problem.timeline.periods):
        rows = [np.where(one.period == period, one.paid, 0.0) for one in payments]
        if rows and (paid := np.sum(rows, axis=0)).any():
            yield period, paid


def _lent(scene: _Scene, plan: LoanPlan, period: int, paid: Floats) -> Iterator[MachineFlow]:
    """Level instalments of a loan for what is fitted, from one interval after it on."""
    count, step = plan.months // plan.every_months, plan.every_months
    rate = plan.rate * step / MONTHS_PER_YEAR
    level = rate / (1.0 - (1.0 + rate) ** -count) if rate else 1.0 / count
    start = scene.start_of(period)
    for number in range(1, count + 1):
        yield scene.flow(plus_months(start, step * number), "retrofit", -level * paid)


def _sales(scene: _Scene) -> Iterator[MachineFlow]:
    """What machine and options bring where the machine goes before the horizon."""
    stay, periods = scene.found.world.valued.stay, scene.found.problem.timeline.periods
    for period in sorted({int(one) for one in stay if one < periods}):
        worth = base_worth(scene.found, period) + option_worth(scene.found, scene.journeys, period)
        yield scene.flow(scene.start_of(period), "sale", np.where(stay == period, worth, 0.0))


def _taxes(scene: _Scene, plain: Sequence[MachineFlow]) -> Iterator[MachineFlow]:
    """Tax of each year on what the machine earned in it, on the days on which it is paid."""
    tax = _paying(scene).income_tax
    if tax is None:
        return
    years: dict[int, list[MachineFlow]] = {}
    for one in plain:
        if one.kind != "retrofit":
            years.setdefault(tax.year_of(one.day), []).append(one)
    for one in _write_offs(scene, tax):
        years.setdefault(tax.year_of(one.day), []).append(one)
    rate = income_tax_rate(scene.found.case)
    for year in sorted(years):
        owed = rate * np.sum([one.cents for one in years[year]], axis=0)
        days = tax_days(tax, year, min(one.day for one in years[year]))
        whole = whole_cents(owed)
        part = whole_cents(owed / len(days))
        for day in days[:-1]:
            yield MachineFlow(scene.clock.paid(day), "tax", -part)
        yield MachineFlow(scene.clock.paid(days[-1]), "tax", -(whole - part * (len(days) - 1)))


def whole_cents(cents: Floats) -> ManyCents:
    """Computed numbers of cents to the nearest whole ones, as `cents.rounded` does it."""
    clean = np.rint(np.abs(cents) / NOISE) * NOISE
    return (np.sign(cents) * np.floor(clean + 0.5)).astype(np.int64)


def _write_offs(scene: _Scene, tax: IncomeTax) -> Iterator[MachineFlow]:
    """What retrofits write off, as the rules have it for property of the day they are fitted."""
    for period, paid in _by_period(scene):
        day = scene.start_of(period)
        known = under_known_law(tax, day)
        shares = written_off(tax, NOTIONAL, known, scene.clock, years=tax_years(), bound=known)
        late = tax.year_of(day) - tax.year_of(known)
        for one in shares:
            on = plus_months(one.day, MONTHS_PER_YEAR * late)
            yield MachineFlow(on, "retrofit", scene.cents(-paid * (one.cents / NOTIONAL)))
