"""What it is worth to leave one retrofit of one swinging stream open: a binomial lattice.

A stream that is there from the start earns ``M W_t`` a year, with W a geometric Brownian motion of
mean 1 and ``W_0 = 1``. Its remaining margin is proportional to where it stands, so fitting the
option at the start of period t is worth, discounted to the order date,

    ``worth[t] W_t - price[t]``

with ``worth[t] = M sum over s > t of d[s] dt (1 + growth)**(s dt)`` and ``price[t]`` the discounted
retrofit price. Everything is in money of the order date, so nothing more is discounted: the
retrofit is an option on W that can be used at the starts of periods 1, 2, ... once.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Waiting:
    """The worth of the open retrofit, and the margin from which on it is fitted.

    Parameters
    ----------
    value
        At the start of period 0 [money].
    trigger
        W from which on fitting beats waiting, by period, shape (T,); infinite where no node of
        the lattice fits, or all do.
    """

    value: float
    trigger: Array


def waiting(worth: ArrayLike, price: ArrayLike, *, volatility: float, steps: int) -> Waiting:
    """The retrofit left open, by backward recursion on a recombining lattice.

    Parameters
    ----------
    worth, price
        As in the module's text, shape (T,) each, the first of them not used [money].
    volatility
        Standard deviation of log W over one period.
    steps
        Steps of the lattice a period; its error falls with one over them.

    References
    ----------
    Cox, Ross & Rubinstein, Journal of Financial Economics 7 (1979) 229-263 (up and down factors;
    from memory).
    """
    worth, price = np.asarray(worth, dtype=float), np.asarray(price, dtype=float)
    up = np.exp(volatility / np.sqrt(steps))
    chance = (1 - 1 / up) / (up - 1 / up)
    last = len(worth) - 1
    value = np.maximum(nodes(up, last * steps) * worth[last] - price[last], 0.0)
    trigger = np.full(len(worth), np.inf)
    for step in reversed(range(last * steps)):
        value = (1 - chance) * value[:-1] + chance * value[1:]
        period, between = divmod(step, steps)
        if not between and period:
            w = nodes(up, step)
            fitted = w * worth[period] - price[period]
            trigger[period] = crossing(w, fitted - value)
            value = np.maximum(value, fitted)
    return Waiting(float(value[0]), trigger)


def nodes(up: float, step: int) -> Array:
    """W at the nodes of one step, from low to high."""
    return np.asarray(up ** (2.0 * np.arange(step + 1) - step))


def crossing(w: Array, gain: Array) -> float:
    """Where the gain turns positive, between two nodes."""
    first = int((gain > 0).argmax())
    if not first:
        return np.inf
    low, high = gain[first - 1 : first + 1]
    share = -low / (high - low)
    return float(w[first - 1] ** (1 - share) * w[first] ** share)


def fitted_at(paths: Array, trigger: Sequence[float] | Array) -> NDArray[np.intp]:
    """First period >= 1 in which W is at or above its trigger, T for never, shape (n,).

    Parameters
    ----------
    paths
        W, shape (T, n).
    trigger
        Shape (T,).
    """
    above = paths >= np.asarray(trigger)[:, None]
    above[0] = False
    return np.where(above.any(axis=0), above.argmax(axis=0), len(paths))
