"""When to retrofit: the rule that counts only work already here, and what is learned on top."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np

from optioneer.valuation.arrays import Floats, Indices
from optioneer.valuation.lattice.mix import lost_during, lost_from
from optioneer.valuation.lattice.moves import Choice, best_choice, best_moves, taken
from optioneer.valuation.lattice.signals import Signals
from optioneer.valuation.lattice.view import Charges, View

Mapper = Callable[..., Iterable[Any]]
"""``map``, or one that works in parallel and keeps the order."""

FEW_CASES = 1e-9
"""Relative size of a direction of the signals below which nothing can be learned from it."""

ROUNDING = 1e-7
"""Share of a signal's sum of squares that counts as noise."""


@dataclass(frozen=True)
class Correction:
    """What was learned for one period, for the estimate of each state's cost from the next on.

    Parameters
    ----------
    weight
        On the rule's own estimate, shape (P,); 1 unless a margin swings.
    slope
        On the signals, shape (P, F) [money].
    low, high
        What the costs were while learning, shape (P,) [money]; estimates stay within.
    """

    weight: Floats
    slope: Floats
    low: Floats
    high: Floats

    def of(self, states: Indices) -> "Correction":
        """The part for `states`."""
        return Correction(
            self.weight[states], self.slope[states], self.low[states], self.high[states]
        )

    def applied(self, rule: Floats, signals: Floats) -> Floats:
        """The learned estimate from the rule's, shape (P, n), and the signals, shape (F, n)."""
        estimate: Floats = self.slope @ signals
        estimate += rule * self.weight[:, None]
        return np.clip(estimate, self.low[:, None], self.high[:, None], out=estimate)


@dataclass(frozen=True)
class Policy:
    """How to decide: the rule, with corrections by period where any were learned.

    Parameters
    ----------
    signals
        What the corrections look at; those of the whole lattice.
    corrections
        By period; a period without one is decided by the rule alone.
    """

    signals: Signals | None = None
    corrections: tuple[Correction | None, ...] = ()

    def of(self, states: Indices) -> "Policy":
        """The same policy for some of the states."""
        kept = tuple(None if c is None else c.of(states) for c in self.corrections)
        return Policy(self.signals, kept)

    def learned(self, t: int) -> Correction | None:
        """What was learned for period `t`, if anything."""
        return self.corrections[t] if self.corrections else None

    def estimate(self, view: View, periods: range) -> Floats:
        """Expected cost of each state from the next period on, as seen then, shape (P, S x n).

        States that are not valid get a finite, meaningless figure. The last period has to be asked
        for alone.
        """
        known = view.known_level(periods)
        return self.corrected(view, periods, known, rule_estimate(view, periods, known))

    def corrected(self, view: View, periods: range, known: Floats, rule: Floats) -> Floats:
        """The rule's estimate, shape (P, S x n), with what was learned for the periods."""
        corrections = [self.learned(t) for t in periods]
        if self.signals is None or not any(corrections):
            return rule
        signals, estimate = self.signals.at(view, periods, known), rule.copy()
        for place, correction in enumerate(corrections):
            if correction is not None:
                now = view.moments(place)
                estimate[:, now] = correction.applied(rule[:, now], signals[:, now])
        return estimate


def decision_spans(view: View) -> Iterator[range]:
    """All periods in which something can be fitted, the last ones first, a few at a time.

    The last period is alone: nothing earns after it, so that it is decided differently.
    """
    stop = view.timeline.periods
    if stop > 1:
        yield range(stop - 1, stop)
    for end in range(stop - 1, 1, -view.span):
        yield range(max(end - view.span, 1), end)


def rule_estimate(view: View, periods: range, known: Floats) -> Floats:
    """Cost of each state from t + 1 on, counting only the streams here at t, shape (P, S x n).

    Parameters
    ----------
    view
        A block of n futures.
    periods
        S periods t of decisions; the last one of all alone.
    known
        From ``view.known_level(periods)``.

    Notes
    -----
    The lesser of retrofitting at t + 1 and never, on expected margins. Compared across the states
    that can be moved to at t this weighs fitting now, fitting next period and never.
    States that are not valid get a finite, meaningless figure.
    """
    lattice = view.lattice
    if periods.stop == view.timeline.periods:
        return horizon_cost(view)
    kept = held_cost(view, periods, known, ahead=2)
    kept[~lattice.valid] = np.inf
    following = range(periods.start + 1, periods.stop + 1)
    best: Floats = best_moves(lattice, view.charges(following), kept)
    best += flow_cost(view, periods, known, ahead=1)
    best[~lattice.valid] = 0.0
    return best


def held_cost(view: View, periods: range, known: Floats, ahead: int) -> Floats:
    """Expected cost of keeping each state for good from so far ahead on, (P, S x n) [money]."""
    lattice, timeline = view.lattice, view.timeline
    annuity = timeline.annuity[periods.start + ahead : periods.stop + ahead]
    fixed = lattice.upkeep[:, None] * annuity
    fixed -= timeline.at_start[-1] * lattice.resale[:, None]
    return _plus(lost_from(view, periods, known, ahead), fixed)


def flow_cost(view: View, periods: range, known: Floats, ahead: int = 0) -> Floats:
    """Upkeep and lost margin of each state, shape (P, S x n) [money].

    Parameters
    ----------
    view
        A block of n futures.
    periods
        S periods.
    known
        From ``view.known_level(periods)``.
    ahead
        So many periods later, on the margins expected at `periods`.
    """
    lattice, timeline = view.lattice, view.timeline
    during = timeline.during[periods.start + ahead : periods.stop + ahead]
    upkeep = lattice.upkeep[:, None] * (during * timeline.dt)
    return _plus(lost_during(view, periods, known, ahead), upkeep)


def _plus(cost: Floats, fixed: Floats) -> Floats:
    """`cost`, shape (P, S x n), with `fixed`, shape (P, S), added in place."""
    by_period = cost.reshape(*fixed.shape, -1)
    by_period += fixed[:, :, None]
    return cost


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
    which all states share one matrix.

    References
    ----------
    Longstaff & Schwartz, Review of Financial Studies 14 (2001) 113-147, section 1.
    """
    learned: dict[int, Correction] = {}
    to_go = list(run(horizon_cost, views))
    for periods in decision_spans(views[0]):
        looks = list(run(partial(_look, signals, periods), views))
        grams = [_grams(look) for look in looks]
        inverse = inverses(_with_ridge(sum(grams[1:], start=grams[0]), signals))
        for place in reversed(range(len(periods))):
            t = periods[place]
            nows = list(run(partial(_now, place), looks, to_go))
            if t < views[0].timeline.periods - 1:
                moments = list(run(partial(_moments, bool(signals.swinging)), nows))
                learned[t] = _correction(sum(moments[1:], start=moments[0]), inverse[place])
            to_go = list(run(partial(_stepped, learned.get(t)), nows))
    return Policy(signals, tuple(learned.get(t) for t in range(views[0].timeline.periods)))


def horizon_cost(view: View) -> Floats:
    """Less the resale value of each state, shape (P, n) [money]."""
    ends = -view.timeline.at_start[-1] * view.lattice.resale
    return np.repeat(ends[:, None], view.futures.count, axis=1)


def policy_steps(
    view: View, periods: range, policies: Sequence[Policy], to_go: Sequence[Floats]
) -> list[Floats]:
    """Realised cost of each state from the first of `periods` on, by policy, (P, n) each.

    `to_go` is the same from the end of `periods` on.
    """
    known = view.known_level(periods)
    rule = rule_estimate(view, periods, known)
    charges, flow = view.charges(periods), flow_cost(view, periods, known)
    return [
        _carried(
            view,
            best_choice(view.lattice, charges, policy.corrected(view, periods, known, rule)),
            flow,
            later,
        )
        for policy, later in zip(policies, to_go, strict=True)
    ]


def _carried(view: View, choice: Choice, flow: Floats, to_go: Floats) -> Floats:
    """Cost to go before the periods of some choices from that after them."""
    now = choice.paid + flow
    for place in reversed(range(now.shape[1] // view.futures.count)):
        moments = view.moments(place)
        to_go = taken(to_go, choice.state[:, moments])
        to_go += now[:, moments]
    return to_go


@dataclass(frozen=True)
class _Look:
    """One block at some moments while learning: what is seen, and what fitting costs."""

    view: View
    rule: Floats
    signals: Floats
    charges: Charges
    flow: Floats


def _look(signals: Signals, periods: range, view: View) -> _Look:
    known = view.known_level(periods)
    return _Look(
        view,
        rule_estimate(view, periods, known),
        signals.at(view, periods, known),
        view.charges(periods),
        flow_cost(view, periods, known),
    )


@dataclass(frozen=True)
class _Now:
    """One block in one period while learning: what was seen, and what it came to."""

    view: View
    rule: Floats
    signals: Floats
    charges: Charges
    flow: Floats
    to_go: Floats


def _now(place: int, look: _Look, to_go: Floats) -> _Now:
    moments = look.view.moments(place)
    return _Now(
        look.view,
        look.rule[:, moments],
        look.signals[:, moments],
        look.charges.of(moments),
        look.flow[:, moments],
        to_go,
    )


def _stepped(correction: Correction | None, now: _Now) -> Floats:
    estimate = now.rule if correction is None else correction.applied(now.rule, now.signals)
    choice = best_choice(now.view.lattice, now.charges, estimate)
    return _carried(now.view, choice, now.flow, now.to_go)


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
    valid = now.view.lattice.valid
    cost = now.to_go if valid.all() else np.where(valid[:, None], now.to_go, now.rule)
    left = cost - now.rule
    rule = now.rule if weighing else now.rule[:0]
    return _Moments(
        left=now.signals @ left.T,
        rule=now.signals @ rule.T,
        rule_rule=np.einsum("pn,pn->p", rule, rule),
        rule_left=np.einsum("pn,pn->p", rule, left[: len(rule)]),
        low=cost.min(axis=1),
        high=cost.max(axis=1),
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
    doubt = signals.doubt(grams.shape[-1]) + ROUNDING
    return grams + (doubt * own)[:, :, None] * np.eye(grams.shape[-1])


def inverses(grams: Floats) -> Floats:
    """Pseudo-inverses of sums of products, scaled so that units do not matter, (S, F, F)."""
    own = np.diagonal(grams, axis1=1, axis2=2)
    # Of a signal that is 0 in every lesson nothing is learned; rounding must not pass for a slope.
    scale = np.where(own > 0.0, 1.0 / np.sqrt(np.where(own > 0.0, own, 1.0)), 0.0)
    both = scale[:, :, None] * scale[:, None, :]
    inverse = np.linalg.pinv(grams * both, rcond=FEW_CASES, hermitian=True)
    return np.asarray(inverse * both, dtype=np.float64)
