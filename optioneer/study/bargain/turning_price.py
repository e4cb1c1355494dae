"""The price of the order at which a verdict turns, everything else as it is."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from optioneer.arrays import Bools
from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue, Option
from optioneer.study.advice.verdicts import OnAverage
from optioneer.study.problem.effort import Effort
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.repricing import repriced, with_more_to_pay
from optioneer.study.worth.valued_case import Valued, valued_case
from optioneer.valuation.timing.policy import Mapper

CLOSE = 2e-4
"""How near to the turn is near enough, as a part of the price; at least `CLOSEST`."""

CLOSEST = 0.05
"""Nearer than this nobody bargains [money]."""

FARTHEST = 1000.0
"""Times `close` that a verdict may turn beside the price at which both choices cost the same."""

TRIES = 20
"""Valuations after which a search gives up: two do where nothing kinks."""

NEAR = 10.0
"""Times `close` within which what comes back of a price changes too little to value it anew."""


@dataclass(frozen=True)
class PriceTurn:
    """Where a verdict turns.

    Parameters
    ----------
    at
        Price or credit; none where none does [money].
    exact
        Whether by arithmetic alone.
    """

    at: float | None
    exact: bool


@dataclass(frozen=True)
class OptionBench:
    """One option under other prices.

    Parameters
    ----------
    option
        The option.
    run
        How blocks of futures are gone through.
    """

    found: Valued
    option: Option
    run: Mapper

    @cached_property
    def index(self) -> int:
        """Its place among all options."""
        return self.found.problem.options.index(self.option.option)

    @cached_property
    def cluster(self) -> int:
        """The cluster that it is in."""
        return self.found.cluster_of(self.index)

    @cached_property
    def holding(self) -> Bools:
        """States of the cluster that hold it."""
        return self.found.costs[self.cluster].lattice.holding(self.index)

    @cached_property
    def resold(self) -> bool:
        """Whether its price comes back in part: then retrofits hang on it, too."""
        return self.option.resale_share > 0.0

    @cached_property
    def moves_hours(self) -> bool:
        """Whether what an hour is worth hangs on its price: what lists later says it of others."""
        return self.found.world.shop is not None and not self.option.retrofittable

    @property
    def proportional(self) -> bool:
        """Whether its price counts in proportion, and nothing else hangs on it."""
        return not self.resold and not self.moves_hours

    def with_price(self, price: float) -> Case:
        """The case with its price, what it lists for later held."""
        return with_option(self.found.case, self.option.priced(price))

    def at(self, price: float) -> Valued:
        """The case valued at a price with the order."""
        if price == self.option.price:
            return self.found
        if self.moves_hours:
            return valued_case(self.with_price(price), effort=Effort(swept=None))
        if self.resold:
            return repriced(self.found, self.with_price(price), self.cluster, self.run)
        return self._paying(self.found, price - self.option.price)

    def _paying(self, found: Valued, beyond: float) -> Valued:
        """`found` where an order of the option costs so much more."""
        return with_more_to_pay(found, self.cluster, np.where(self.holding, beyond, 0.0))

    def turn(self) -> PriceTurn:
        """The price at which ordering it now starts or stops to pay."""
        option, seen = self.option, dict[float, Valued]()

        def gap(price: float) -> float:
            """What ordering it costs beyond not ordering it, at a price with the order [money]."""
            seen.clear()
            seen[price] = self.at(price)
            return ordering_gap(seen[price], self.cluster, self.holding)

        first = gap(option.price)
        if not np.isfinite(first):
            return PriceTurn(None, exact=True)
        close = max(CLOSE * option.price, CLOSEST)
        factor = self.found.problem.order_factor
        price = rising_root(gap, (option.price, first), factor, close)
        if price is None:
            return PriceTurn(None, exact=self.proportional)
        place, there = seen.popitem()

        def ordered(at: float) -> bool:
            """Whether the package advised holds it, at a price nearby."""
            near = not self.moves_hours and abs(at - place) <= NEAR * close
            alike = self.proportional or near
            other = self._paying(there, at - place) if alike else self.at(at)
            return bool(self.holding[best_package(other)[self.cluster]])

        return PriceTurn(flipped(ordered, price, close), exact=self.proportional)


def with_option(case: Case, option: Option) -> Case:
    """`case` with one of its options made otherwise."""
    options = tuple(
        option if each.option == option.option else each for each in case.catalogue.options
    )
    return case.model_copy(update={"catalogue": Catalogue(options=options)})


def ordering_gap(found: Valued, cluster: int, holding: Bools) -> float:
    """Least mean NPC of a package in some states of a cluster less that in the others [money].

    Infinite, either way, where one of the two cannot be had.
    """
    chooser, able = OnAverage(found), found.costs[cluster].lattice.orderable
    if not (able & holding).any():
        return np.inf
    if not (able & ~holding).any():
        return -np.inf
    best = chooser.best()
    ordered = bool(holding[best[cluster]])
    other = chooser.best((cluster, holding != ordered))
    more = float(chooser.beyond(other, best).mean())
    return -more if ordered else more


def rising_root(
    curve: Callable[[float], float], known: tuple[float, float], slope: float, close: float
) -> float | None:
    """Where a curve that rises about in a line passes 0; none where that is below 0.

    Parameters
    ----------
    curve
        Pieces of it are lines.
    known
        A place and the curve's height there.
    slope
        About, > 0.
    close
        How near is near enough.

    Notes
    -----
    Secant steps, kept between the places known to lie below and above 0; where one did not halve
    the height what is left is halved, for the curve may jump. Each costs a valuation.
    """
    (here, height), bracket = known, _Bracket()
    jumps = False
    for _ in range(TRIES):
        bracket = bracket.told(here, height)
        if abs(height) <= close * slope / 2:
            return here
        if bracket.width <= close:
            return bracket.middle
        halve = jumps and not np.isinf(bracket.width)
        guess = max(bracket.middle if halve else bracket.guess(here - height / slope), 0.0)
        if guess == here:
            return None
        before, here = (here, height), guess
        height = curve(here)
        jumps = abs(height) > abs(before[1]) / 2
        rise = (height - before[1]) / (here - before[0])
        slope = rise if rise > 0.0 else slope
    return bracket.guess(here - height / slope)


def flipped(ordered: Callable[[float], bool], price: float, close: float) -> float:
    """The place near `price` where an option that is ordered is so no longer.

    Parameters
    ----------
    ordered
        Whether it is ordered at a price.
    price
        About where.
    close
        How near is near enough.

    Notes
    -----
    Where a site's works or hours tie packages together the best package is found by a search that
    may stop a little early: the verdict then turns a little beside the price at which both choices
    cost the same, and what the advice will say counts.
    """
    low, high, step = price - close, price + close, close
    while ordered(high) and step < FARTHEST * close:
        step *= 2.0
        low, high = high, high + step
    while not ordered(max(low, 0.0)) and low > 0.0 and step < FARTHEST * close:
        step *= 2.0
        low, high = low - step, low
    low = max(low, 0.0)  # no price is below nothing
    while high - low > 2.0 * close:
        middle = (low + high) / 2.0
        low, high = (middle, high) if ordered(middle) else (low, middle)
    return (low + high) / 2.0


@dataclass(frozen=True)
class _Bracket:
    """The nearest places known to lie below and above a root."""

    below: float = -np.inf
    above: float = np.inf

    def told(self, place: float, height: float) -> "_Bracket":
        """The same, one place more being known."""
        if height < 0.0:
            return replace(self, below=max(self.below, place))
        return replace(self, above=min(self.above, place))

    def guess(self, place: float) -> float:
        """`place` if it lies between, else the middle."""
        if self.below < place < self.above or np.isinf(self.width):
            return place
        return self.middle

    @property
    def width(self) -> float:
        """How far the two are apart."""
        return self.above - self.below

    @property
    def middle(self) -> float:
        """Half way between them."""
        return (self.below + self.above) / 2.0
