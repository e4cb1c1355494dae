"""Learning when to retrofit: what the rule's estimate leaves of the cost, regressed on signals.

Least-squares Monte Carlo: lessons are training paths, signals basis functions, doubts a ridge
penalty; what is learned is applied to futures of its own.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from optioneer.arrays import Bools, Floats, Indices
from optioneer.valuation.lattice.charges import Charges
from optioneer.valuation.lattice.moves import best_choice
from optioneer.valuation.lattice.outlays import flow_cost, horizon_cost, rule_estimate
from optioneer.valuation.lattice.view import View
from optioneer.valuation.timing.policy import Correction, Mapper, Policy, cost_to_go, decision_spans
from optioneer.valuation.timing.signals import Signals

FEW_CASES = 1e-11
"""Relative size of a direction of the signals below which nothing can be learned from it."""

ROUNDING = 1e-11
"""Share of a signal's sum of squares that counts as noise."""

CONVINCING = 1.0
"""Standard errors that what was learned has to save in the lessons to be preferred to the rule."""

SAVED = 0.005
"""Smaller differences between two means are rounding [money]."""


def learned_policy(signals: Signals, views: Sequence[View], run: Mapper) -> Policy:
    """Corrections fitted backwards in time on the futures of `views`.

    Parameters
    ----------
    signals
        What to look at.
    views
        Blocks of the futures to learn from, not those to value on.
    run
        How to go through the blocks.

    Notes
    -----
    Least-squares Monte Carlo: in each period what the rule's estimate leaves of the realised
    cost-to-go of every state, under the policy learned so far, is regressed on the signals, of
    which all states share one matrix. From states that cost less under the rule alone in the same
    lessons the rule is followed: what is learned badly does no harm then.

    References
    ----------
    Longstaff & Schwartz, Review of Financial Studies 14 (2001) 113-147, section 1.
    """
    return _learning(signals, views, run).policy


def costs_of_lessons(signals: Signals, views: Sequence[View], run: Mapper) -> list[Floats]:
    """Cost to go from the second period on in the lessons themselves, by block, (P, n) [money].

    Parameters
    ----------
    signals, views, run
        As for `learned_policy`.

    Notes
    -----
    Longstaff and Schwartz value on the paths that they learn from. That flatters a little, for
    what was learned suits these lessons best; it is for differences between two cases that are met
    in the same futures, where it falls out.
    """
    learning = _learning(signals, views, run)
    kept = learning.policy.ruled
    if kept is None:
        return learning.to_go
    return [
        np.where(kept[:, None], ruled, own)
        for ruled, own in zip(learning.ruled, learning.to_go, strict=True)
    ]


@dataclass(frozen=True)
class _Learning:
    """What was learned, and what the lessons came to.

    Parameters
    ----------
    to_go, ruled
        Cost to go from the second period on under what was learned and under the rule alone, by
        block, shape (P, n) each [money].
    """

    policy: Policy
    to_go: list[Floats]
    ruled: list[Floats]


def _learning(signals: Signals, views: Sequence[View], run: Mapper) -> _Learning:
    """As `learned_policy` says."""
    learned: dict[int, Correction] = {}
    to_go, ruled = (list(run(horizon_cost, views)) for _ in range(2))
    for periods in decision_spans(views[0]):
        looks = list(run(partial(_look, signals, periods), views))
        ruled = list(run(_rule_cost_to_go, looks, ruled))
        grams = [_grams(look) for look in looks]
        inverse = inverses(_with_ridge(sum(grams[1:], start=grams[0]), signals))
        for place in reversed(range(len(periods))):
            t = periods[place]
            nows = list(run(partial(_now, place), looks, to_go))
            if t < views[0].timeline.periods - 1:
                moments = list(run(partial(_moments, bool(signals.swinging)), nows))
                summed = sum(moments[1:], start=moments[0])
                if np.isfinite(summed.low).all():  # else the machine is always gone by then
                    learned[t] = _correction(summed, inverse[place])
            to_go = list(run(partial(_corrected_cost_to_go, learned.get(t)), nows))
    corrections = tuple(learned.get(t) for t in range(views[0].timeline.periods))
    kept = _ruled_states(list(map(np.subtract, ruled, to_go)))
    return _Learning(Policy(signals, corrections, kept if kept.any() else None), to_go, ruled)


def _ruled_states(saved: Sequence[Floats]) -> Bools:
    """States from which the rule is followed, shape (P,).

    `saved` is what each state saves under what was learned, by block of lessons, (P, n) each. It
    suits the lessons that it was learned from better than any others, so that a saving within the
    errors of these is none.
    """
    count = sum(block.shape[1] for block in saved)
    mean = sum(block.sum(axis=1) for block in saved) / count
    squares = sum(np.einsum("pn,pn->p", block, block) for block in saved) / count
    error = np.sqrt(np.maximum(squares - mean**2, 0.0) / count)
    return np.asarray(mean < np.where(error > SAVED, CONVINCING * error, -SAVED))


@dataclass(frozen=True)
class _Look:
    """One block at some moments while learning: what is seen, and what fitting costs."""

    view: View
    periods: range
    rule: Floats
    signals: Floats
    charges: Charges
    flow: Floats


def _look(signals: Signals, periods: range, view: View) -> _Look:
    known = view.known_level(periods)
    return _Look(
        view,
        periods,
        rule_estimate(view, periods, known),
        signals.at(view, periods, known),
        view.charges(periods),
        flow_cost(view, periods, known),
    )


def _rule_cost_to_go(look: _Look, to_go: Floats) -> Floats:
    """Cost to go before the periods of a look from that after them, by the rule alone."""
    choice = best_choice(look.view.lattice, look.charges, look.rule)
    return cost_to_go(look.view, look.periods, choice, look.flow, to_go)


@dataclass(frozen=True)
class _Now(_Look):
    """The same in one period, and what it came to."""

    to_go: Floats

    @property
    def still_there(self) -> "_Now":
        """The futures in which the machine is still there; charges and flow are all kept."""
        if not self.view.futures.stay.size:
            return self
        here = np.flatnonzero(self.view.stay > self.periods.start)
        rule, signals, to_go = (
            _of_futures(each, here) for each in (self.rule, self.signals, self.to_go)
        )
        return replace(self, rule=rule, signals=signals, to_go=to_go)


def _of_futures(each: Floats, some: Indices) -> Floats:
    """What is told of some futures, rising, one future after the other in memory, shape (., m)."""
    if len(some) == each.shape[1]:  # as it comes from a choice, only quicker
        return each.copy(order="F")
    return each[:, some]


def _now(place: int, look: _Look, to_go: Floats) -> _Now:
    moments = look.view.moments(place)
    return _Now(
        look.view,
        look.periods[place : place + 1],
        look.rule[:, moments],
        look.signals[:, moments],
        look.charges.of(moments),
        look.flow[:, moments],
        to_go,
    )


def _corrected_cost_to_go(correction: Correction | None, now: _Now) -> Floats:
    estimate = now.rule if correction is None else correction.estimate(now.rule, now.signals)
    choice = best_choice(now.view.lattice, now.charges, estimate)
    return cost_to_go(now.view, now.periods, choice, now.flow, now.to_go)


def _grams(look: _Look) -> Floats:
    """Sums of products of the signals, shape (S, F, F)."""
    by_period = look.signals.reshape(len(look.signals), -1, look.view.futures.count)
    signals = by_period.transpose(1, 0, 2)
    return np.asarray(signals @ signals.transpose(0, 2, 1))


@dataclass(frozen=True)
class _Moments:
    """Sums over futures for the regression of one period, and the bounds of the costs.

    `left` is what the rule's estimate leaves of the cost; `rule` is that estimate itself, without
    states where its weight is not learned.
    """

    left: Floats
    rule: Floats
    rule_rule: Floats
    rule_left: Floats
    low: Floats
    high: Floats

    def __add__(self, other: "_Moments") -> "_Moments":
        return _Moments(
            self.left + other.left,
            self.rule + other.rule,
            self.rule_rule + other.rule_rule,
            self.rule_left + other.rule_left,
            np.minimum(self.low, other.low),
            np.maximum(self.high, other.high),
        )


def _moments(weighing: bool, now: _Now) -> _Moments:  # noqa: FBT001 - mapped over `now`
    now = now.still_there
    valid = now.view.lattice.valid
    cost = now.to_go if valid.all() else np.where(valid[:, None], now.to_go, now.rule)
    left = cost - now.rule
    rule = now.rule if weighing else now.rule[:0]
    by_state = np.ascontiguousarray(cost)  # of a row all in one place: looked through at once
    return _Moments(
        left=now.signals @ left.T,
        rule=now.signals @ rule.T,
        rule_rule=np.einsum("pn,pn->p", rule, rule),
        rule_left=np.einsum("pn,pn->p", rule, left[: len(rule)]),
        low=by_state.min(axis=1, initial=np.inf),
        high=by_state.max(axis=1, initial=-np.inf),
    )


def _correction(moments: _Moments, inverse: Floats) -> Correction:
    """Ridge regression of what the rule's estimate leaves unexplained on the signals.

    Where a margin swings, the rule's estimate bends too sharply at the margin from which fitting
    pays, so that its own weight is learned as well: the signals are partialled out of it
    (Frisch-Waugh-Lovell).
    """
    slope = inverse @ moments.left
    weight = np.zeros(slope.shape[1])
    if len(moments.rule_rule):
        on_rule = inverse @ moments.rule
        own = moments.rule_rule - np.einsum("fp,fp->p", moments.rule, on_rule)
        shared = moments.rule_left - np.einsum("fp,fp->p", moments.rule, slope)
        told = own > FEW_CASES * moments.rule_rule
        weight = np.where(told, shared / np.where(told, own, 1.0), 0.0)
        slope = slope - weight * on_rule
    return Correction(1.0 + weight, slope.T, moments.low, moments.high)


def _with_ridge(grams: Floats, signals: Signals) -> Floats:
    """Sums of products, shape (S, F, F), with each signal's doubt added to its own."""
    own = np.diagonal(grams, axis1=1, axis2=2)
    doubt = signals.doubt(own) + ROUNDING
    return grams + (doubt * own)[:, :, None] * np.eye(grams.shape[-1])


def inverses(grams: Floats) -> Floats:
    """Pseudo-inverses of sums of products, scaled so that units do not matter, (S, F, F)."""
    own = np.diagonal(grams, axis1=1, axis2=2)
    # Of a signal that is 0 in every lesson nothing is learned; rounding must not pass for a slope.
    scale = np.where(own > 0.0, 1.0 / np.sqrt(np.where(own > 0.0, own, 1.0)), 0.0)
    both = scale[:, :, None] * scale[:, None, :]
    inverse = np.linalg.pinv(grams * both, rcond=FEW_CASES, hermitian=True)
    return np.asarray(inverse * both, dtype=np.float64)
