"""What figures usually are: outside of it they are allowed, and asked about.

Each row says why. They are common practice of small machine shops, no source; a row that asks about
something sensible is worth less than none, so the bounds are wide.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from optioneer.model.catalogue import Option
from optioneer.model.fact import Fact
from optioneer.model.growth import Driver, Growth, Stream
from optioneer.model.machine import Dates, Machine
from optioneer.model.paying import IncomeTax, LeasePlan, LoanPlan, Payoff, SalesTax
from optioneer.model.site import Needs, Supply
from optioneer.model.terms import Bridge
from optioneer.model.works import Crew, Task, Trade


@dataclass(frozen=True)
class Usual:
    """A figure and where it usually lies.

    Parameters
    ----------
    key
        Its name; of three points each is looked at.
    low, high
        Ends of what is usual, both included.
    asks
        What is asked outside, a question without its mark.
    """

    key: str
    low: float
    high: float
    asks: str


NO_END = float("inf")

USUAL: Mapping[type[Fact], tuple[Usual, ...]] = {
    Growth: (
        # a machine pays for itself within a few years, and nobody foresees work in thirty
        Usual("horizon_years", 1, 25, "does anybody foresee work for so long, or so briefly"),
        # money costs a shop between nothing and what a credit card takes
        Usual("discount_rate", 0, 0.3, "is it a fraction a year, 0.08 for 8 %"),
        # list prices have risen by 2 to 10 % a year within memory
        Usual("retrofit_inflation", -0.02, 0.15, "is it a fraction a year, 0.03 for 3 %"),
        # at fewer the standard errors hide most differences
        Usual("futures", 16, NO_END, "are so few enough"),
    ),
    Stream: (
        # work that surely does not come need not be told
        Usual("chance", 0.001, 1, "does anybody expect it"),
        # a business that grows by half a year does not do so for long
        Usual("growth", -0.3, 0.3, "is it a fraction a year, 0.02 for 2 %"),
        # stock exchanges move by 0.2 a year, single raw materials by 0.4
        Usual("swing", 0, 1, "is it a fraction, 0.2 for an ordinary ups and downs"),
        Usual("lasts_years", 0.08, 50, "years, not months or days"),
        # earliest to latest; a calendar year is larger than any wait
        Usual("years", 0, 60, "counted from first chips, not calendar years"),
    ),
    Driver: (
        # beyond 3 standard deviations lies one future in 700
        Usual("nudge", -3, 3, "standard deviations, not per cent"),
    ),
    Machine: (
        # nothing with a spindle and a warranty costs less in any currency
        Usual("base_price", 1000, 1e10, "in whole money, not thousands"),
        # who sells a machine after years gets a part of its price
        Usual("resale_share", 0, 0.9, "does it keep nearly its price to the end of the horizon"),
    ),
    Dates: (
        Usual("build_weeks", 0, 104, "weeks, not days"),
        Usual("ship_weeks", 0, 26, "weeks, not days"),
        Usual("commission_days", 0, 120, "days, not hours"),
        Usual("lead", 0, 4, "years, not months"),
    ),
    Option: (
        # common practice: once to five times the factory price; twenty is a new machine
        Usual("multiplier", 0.3, 20, "meant as money, or as a part of the price"),
        Usual("eased", 0.1, 20, "meant as money, or as a part of the price"),
        # a machine is rebuilt in less
        Usual("downtime_days", 0, 60, "days of standstill, not hours"),
        Usual("resale_share", 0, 0.9, "does it keep nearly its price to the end of the horizon"),
        # the largest machine tools take 200 kVA, 2,000 L/min, 100 m2 and 100 t as a whole
        Usual("kva", 0, 250, "kVA, not VA or W"),
        Usual("air_l_min", 0, 5000, "litres a minute, not an hour"),
        Usual("floor_m2", 0, 200, "square metres"),
        Usual("mass_kg", 0, 50000, "kilograms, not grams"),
    ),
    LoanPlan: (
        Usual("rate", 0, 0.25, "a fraction a year, 0.058 for 5.8 %"),
        # machines are lent on for three to ten years
        Usual("months", 6, 180, "months, not years or weeks"),
        Usual("deposit", 0, 0.8, "a share of the price: who lends the rest"),
    ),
    LeasePlan: (
        Usual("months", 6, 180, "months, not years or weeks"),
        Usual("deposit", 0, 0.8, "a share of the price: what is left to let"),
    ),
    Bridge: (Usual("rate", 0, 0.25, "a fraction a year, 0.09 for 9 %"),),
    Payoff: (Usual("fee", 0, 0.2, "a share of what is owed, 0.01 for 1 %"),),
    SalesTax: (
        # the highest rate of value-added tax anywhere is 27 %
        Usual("rate", 0, 0.3, "a fraction, 0.19 for 19 %"),
        Usual("reclaimed_after_days", 0, 400, "days"),
    ),
    IncomeTax: (
        # on top of every scale some 60 % are left to nobody
        Usual("rate", 0, 0.6, "a fraction, 0.30 for 30 %"),
    ),
    Crew: (
        # three people and a full day each
        Usual("hours_per_day", 0.25, 24, "hours a day that all of them can spare together"),
    ),
    Trade: (Usual("notice_days", 0, 365, "days ahead, not hours"),),
    Supply: (
        # transformers have taken two years and more
        Usual("lead_days", 0, 1100, "days, not weeks or hours"),
        Usual("later", 0.5, 10, "a multiple of the price now, not money"),
        Usual("later_downtime_days", 0, 60, "days of standstill, not hours"),
    ),
    Task: (
        Usual("days", 0, 400, "working days, not hours"),
        Usual("crew_hours", 0, 5000, "hours, not minutes"),
        Usual("lead_days", 0, 400, "days, not hours"),
    ),
    Needs: (
        Usual("full_load_kva", 0.5, 1000, "kVA, not VA or W"),
        Usual("air_l_min", 0, 10000, "litres a minute, not an hour"),
        Usual("mass_kg", 100, 400000, "kilograms, not tonnes or grams"),
        Usual("length_m", 0.3, 40, "metres, not millimetres or feet"),
        Usual("width_m", 0.3, 20, "metres, not millimetres or feet"),
        Usual("height_m", 0.3, 15, "metres, not millimetres or feet"),
    ),
}
"""What is usual of each kind of fact."""
